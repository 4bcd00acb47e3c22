"""Trials: the list, sowing, counting by day, and what came of them."""

from collections.abc import Sequence
from datetime import UTC, datetime

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.trials import DishField, dish_fields, trial_line, trial_lines, trial_view
from dashboard.views.words import place_in_path
from station.domain.dates import moment_from
from station.domain.power import Plan, percent_from, plan_for
from station.domain.trials import (
    Arm,
    Counted,
    CountTakenBack,
    Ended,
    Sown,
    Trial,
    TrialEntry,
    check_arm,
    check_counts,
    control_among,
    dishes_from,
)
from station.errors import JarsideError
from station.store.trials import Trials

USUAL_ARMS = ("soaked", "plain")
MORE_ARMS = 2
"""Further ways of treating the seeds that the form has room for; the command line takes any number."""
USUAL_SHARE, USUAL_POINTS = "65", "20"


class TrialPages(Area):
    """The trials."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        form = self._frame.form_route
        return [
            Route("/trials", self.trials),
            *form("/trials/sow", self.sow, self.sown),
            Route("/trials/{name}", self.trial),
            *form("/trials/{name}/count", self.count, self.counted),
            *form("/trials/{name}/end", self.end, self.ended),
            self._frame.action("/trials/{name}/take-back", self.taken_back),
        ]

    def trials(self, request: Request) -> Response:
        """Every trial, and how many seeds one needs."""
        form = Form.asked(request.query_params)
        lines = trial_lines(self._records.trials(), self._desk.manner)
        plan = _plan(form)
        return self._frame.filled(
            request, "trials", lines=lines, form=form, plan=plan, share=USUAL_SHARE, points=USUAL_POINTS
        )

    def trial(self, request: Request) -> Response:
        """One trial."""
        return self._shown(request, Form())

    def _shown(self, request: Request, form: Form) -> Response:
        view = trial_view(self._named(request), self._desk.manner)
        return self._frame.filled(request, "trial", form.status, view=view, form=form)

    def sow(self, request: Request, form: Form) -> Response:
        """A trial to be sown."""
        stored = [one for one in self._records.bottles() if one.in_store]
        return self._frame.filled(
            request,
            "trial_sow",
            form.status,
            form=form,
            usual=USUAL_ARMS,
            arms=range(1, len(USUAL_ARMS) + MORE_ARMS + 1),
            bottles=[("", "not written down"), *((one.id, one.id) for one in stored)],
            plan=plan_for(percent_from(USUAL_SHARE), percent_from(USUAL_POINTS)),
        )

    def sown(self, request: Request, form: Form, token: str) -> Response:
        """It was sown."""
        seeds = form.needed("seeds", str, "the seeds are not named", "Say what was sown: beans.") or ""
        read = [self._arm(form, number) for number in range(1, len(USUAL_ARMS) + MORE_ARMS + 1)]
        arms = tuple(arm for arm in read if arm is not None)
        model = Sown(
            "",
            self._when(form),
            seeds,
            arms,
            form.text("control") or control_among(arms),
            form.text("bottle"),
            form.text("treatment"),
            form.text("note"),
        )

        def write() -> Trial:
            with self._desk.books.writing() as notebook:
                return Trials(notebook).sow(model, now_at=self._desk.now(), token=token)

        made = form.kept(write)
        return self.sow(request, form) if made is None else elsewhere(place_in_path("/trials", made.id))

    def _arm(self, form: Form, number: int) -> Arm | None:
        """Return one way of treating the seeds; None where neither a name nor seeds are written."""
        name, field = form.text(f"arm-{number}"), f"dishes-{number}"
        if not name and not form.text(field):
            return None
        if not name:
            form.refuse(f"arm-{number}", "these seeds have no name", "Say how they were treated: soaked.")
        dishes = form.needed(field, dishes_from, "the seeds are not counted", "Say how many in each dish: 20,20.")
        if not name or dishes is None:
            return None
        return form.read(field, lambda _: check_arm(Arm(name, dishes)))

    def count(self, request: Request, form: Form) -> Response:
        """Counts to be entered."""
        trial = self._named(request)
        line = trial_line(trial, self._desk.manner)
        return self._frame.filled(request, "trial_count", form.status, form=form, line=line, dishes=dish_fields(trial))

    def counted(self, request: Request, form: Form, token: str) -> Response:
        """They were counted."""
        trial = self._named(request)
        at = self._when(form)
        if at < trial.sown_at:
            form.refuse("at", "they were counted before they were sown", "Check the time.")
            return self.count(request, form)
        counts = [self._count(form, trial, field, at) for field in dish_fields(trial)]
        entries = [one for one in counts if one is not None]
        if not entries and form.ok:
            form.problem = JarsideError("no dish is counted", "Write at least one number.")
        return self._keep(form, token, entries) or self.count(request, form)

    def _count(self, form: Form, trial: Trial, field: DishField, at: datetime) -> Counted | None:
        def read(text: str) -> Counted:
            count = Counted(trial.id, at, field.arm, _whole(text), field.dish)
            check_counts(trial, count)
            return count

        return form.read(field.name, read)

    def taken_back(self, request: Request, form: Form, token: str) -> Response:
        """A count was a slip."""
        now_at = self._desk.now()
        counted_at = form.needed(
            "counted", lambda text: moment_from(text, UTC), "it is not said which count", "Tap the button below it."
        )
        entry = CountTakenBack(self._named(request).id, now_at, counted_at or now_at)
        return self._keep(form, token, [entry]) or self._shown(request, form)

    def end(self, request: Request, form: Form) -> Response:
        """A trial to be ended."""
        line = trial_line(self._named(request), self._desk.manner)
        return self._frame.filled(request, "trial_end", form.status, form=form, line=line)

    def ended(self, request: Request, form: Form, token: str) -> Response:
        """It is over."""
        entry = Ended(self._named(request).id, self._when(form), form.text("note"))
        return self._keep(form, token, [entry]) or self.end(request, form)

    def _keep(self, form: Form, token: str, entries: Sequence[TrialEntry]) -> Response | None:
        def write() -> Trial:
            with self._desk.books.writing() as notebook:
                return Trials(notebook).record(*entries, now_at=self._desk.now(), token=token)

        found = form.kept(write)
        return None if found is None else elsewhere(place_in_path("/trials", found.id))

    def _named(self, request: Request) -> Trial:
        return self._records.trial(request.path_params["name"])


def _whole(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise JarsideError(f"{text!r} is not a whole number", "Count all that have germinated so far.") from None


def _plan(form: Form) -> Plan | None:
    """Return how many seeds are needed for what a form asks; the usual question where it asks none."""
    share = form.read("share", percent_from) if form.text("share") else percent_from(USUAL_SHARE)
    points = form.read("points", percent_from) if form.text("points") else percent_from(USUAL_POINTS)
    if share is None or points is None:
        return None
    try:
        return plan_for(share, points)
    except JarsideError as error:
        form.problem = error
        return None
