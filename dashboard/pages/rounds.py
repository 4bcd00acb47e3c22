"""Rounds: feedings that come again. Set up, changed, skipped, stopped."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from dashboard.amounts import can_in
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.can import COUNTS, ratio_in
from dashboard.views.feeding import round_fields, round_lines
from station.domain.dates import day_from
from station.domain.feeding import Method
from station.domain.rounds import (
    LEAST_DAYS,
    MOST_DAYS,
    Round,
    RoundEntry,
    RoundSet,
    Skipped,
    Stopped,
    days_from,
)
from station.store.rounds import Rounds

USUAL_DAYS = f"{LEAST_DAYS}-{MOST_DAYS}"


class RoundPages(Area):
    """The rounds."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        form = self._frame.form_route
        return [
            *form("/feeding/rounds/new", self.new, self.made),
            *form("/feeding/rounds/{name}", self.change, self.changed),
            *form("/feeding/rounds/{name}/skip", self.skip, self.skipped),
            *form("/feeding/rounds/{name}/stop", self.stop, self.stopped),
        ]

    def new(self, request: Request, form: Form) -> Response:
        """A round to be set up."""
        return self._shown(request, form, None)

    def made(self, request: Request, form: Form, token: str) -> Response:
        """It was set up."""
        return self._set(form, token, "") or self.new(request, form)

    def change(self, request: Request, form: Form) -> Response:
        """A round to be changed."""
        found = self._round(request)
        fresh = request.method == "GET"
        return self._shown(request, Form(round_fields(found, self._desk.manner)) if fresh else form, found)

    def changed(self, request: Request, form: Form, token: str) -> Response:
        """It was changed."""
        return self._set(form, token, self._round(request).id) or self.change(request, form)

    def skip(self, request: Request, form: Form) -> Response:
        """A feeding to be left out."""
        return self._act(request, form, "round_skip")

    def skipped(self, request: Request, form: Form, token: str) -> Response:
        """It was left out."""
        entry = Skipped(self._round(request).id, self._when(form), form.text("reason"))
        return self._keep(form, token, entry) or self.skip(request, form)

    def stop(self, request: Request, form: Form) -> Response:
        """A round to be ended."""
        return self._act(request, form, "round_stop")

    def stopped(self, request: Request, form: Form, token: str) -> Response:
        """It is over."""
        entry = Stopped(self._round(request).id, self._when(form), form.text("reason"))
        return self._keep(form, token, entry) or self.stop(request, form)

    def _set(self, form: Form, token: str, round_id: str) -> Response | None:
        if not form.text("place"):
            form.refuse("place", "it is not said what is fed", "Name the plants, or say where they stand.")
        least, most = form.read("every", days_from) or (LEAST_DAYS, MOST_DAYS)
        rule = RoundSet(
            round_id,
            self._desk.now(),
            form.choice("method", Method, Method.LEAF_SPRAY) or Method.LEAF_SPRAY,
            form.text("place"),
            least,
            most,
            ratio_in(form).water_parts,
            form.read("water", can_in(self._desk.manner.measures)),
            form.read("first", day_from),
            form.text("note"),
        )
        return elsewhere("/feeding") if form.kept(lambda: self._write(rule, token)) else None

    def _write(self, rule: RoundSet, token: str) -> Round:
        with self._desk.books.writing() as notebook:
            return Rounds(notebook).set_up(rule, now_at=self._desk.now(), token=token)

    def _keep(self, form: Form, token: str, entry: RoundEntry) -> Response | None:
        def write() -> Round:
            with self._desk.books.writing() as notebook:
                return Rounds(notebook).record(entry, now_at=self._desk.now(), token=token)

        return elsewhere("/feeding") if form.kept(write) else None

    def _shown(self, request: Request, form: Form, found: Round | None) -> Response:
        methods = [(str(method), str(method)) for method in Method]
        return self._frame.filled(
            request,
            "round",
            form.status,
            form=form,
            round=found,
            methods=methods,
            usual=str(Method.LEAF_SPRAY),
            every=USUAL_DAYS,
            counts=COUNTS,
        )

    def _act(self, request: Request, form: Form, template: str) -> Response:
        found = self._round(request)
        lines = round_lines([found], self._desk.now(), self._desk.manner)
        text = lines[0].text if lines else "stopped"
        return self._frame.filled(request, template, form.status, form=form, round=found, text=text)

    def _round(self, request: Request) -> Round:
        return self._records.round(request.path_params["name"])
