"""Feeding: what is due, what soaks, and what was given."""

from datetime import datetime

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.can import COUNTS, CanView, can_view, measured_in, ratio_in
from dashboard.views.feeding import NO_BOTTLE, advice_now, bottle_choices, feeding_view, round_fields
from station.domain.cautions import Step, cautions_for
from station.domain.dilution import Dilution, diluted
from station.domain.feeding import Fed, Method, TakenOut
from station.store.feedings import Feedings

MOST_FEEDINGS = 40
"""The page shows this many feedings, the latest first."""
NOTHING = Dilution(0.0, 0.0)


class FeedingPages(Area):
    """Feedings."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [
            Route("/feeding", self.feeding),
            self._frame.action("/feeding/{name}/out", self.out),
            self._frame.action("/feeding/{name}/take-back", self.taken_back),
            Route("/feeding/worked", self.worked),
            *self._frame.form_route("/feeding/give", self.give, self.given),
        ]

    def feeding(self, request: Request) -> Response:
        """What is due, what soaks, what was given."""
        return self._shown(request, Form())

    def out(self, request: Request, form: Form, token: str) -> Response:
        """Seeds were taken out of the juice."""
        entry = TakenOut(request.path_params["name"], self._desk.now())

        def write() -> Fed:
            with self._desk.books.writing() as notebook:
                spent = f"{token}/{entry.feeding_id}"  # one mark serves every soak of the page
                return Feedings(notebook).take_out(entry, now_at=entry.at, token=spent)

        return elsewhere("/feeding") if form.kept(write) else self._shown(request, form)

    def taken_back(self, request: Request, form: Form, token: str) -> Response:
        """A feeding was none, or wrong."""
        name = request.path_params["name"]

        def write() -> Fed:
            with self._desk.books.writing() as notebook:
                return Feedings(notebook).take_back(name, now_at=self._desk.now(), token=f"{token}/{name}/back")

        return elsewhere("/feeding") if form.kept(write) else self._shown(request, form)

    def _shown(self, request: Request, form: Form) -> Response:
        desk, fed = self._desk, self._records.feedings()
        view = feeding_view(self._records.rounds(), fed, desk.now(), desk.manner, MOST_FEEDINGS)
        return self._frame.filled(
            request,
            "feeding",
            form.status,
            form=form,
            quiet=Form(),
            view=view,
            count=len(fed),
            now=desk.now(),
            stored=any(one.in_store for one in self._records.bottles()),
            cautions=cautions_for(Step.FEED),
        )

    def worked(self, request: Request) -> Response:
        """Only the amounts of a feeding form: asked for while somebody types."""
        form = Form.asked(request.query_params)
        can = self._can(form)
        return self._frame.filled(request, "can_worked", form=form, can=can, alone=True)

    def give(self, request: Request, form: Form) -> Response:
        """A feeding to be written down; an address may fill it in, and so may a round."""
        query = request.query_params
        if request.method == "GET" and query:
            form = self._filled_in(query.get("round", "")) or Form.asked(query)
        desk, bottles = self._desk, self._records.bottles()
        choices = bottle_choices(bottles, desk.manner)
        return self._frame.filled(
            request,
            "give",
            form.status,
            form=form,
            can=self._can(form),
            alone=False,
            bottles=choices,
            first=choices[0][0],
            methods=[(str(method), str(method)) for method in Method],
            rounds=[("", "none"), *((one.id, one.id) for one in self._records.rounds() if one.stopped_at is None)],
            counts=COUNTS,
            advice=[(str(method), advice_now(method, desk.now(), desk.manner)) for method in Method],
            cautions=cautions_for(Step.FEED),
        )

    def given(self, request: Request, form: Form, token: str) -> Response:
        """It was given."""
        fed = self._read(form, token)
        made = form.kept(lambda: self._write(fed, token, anyway=form.ticked("anyway")))
        return self.give(request, form) if made is None else elsewhere(f"/feeding#{made.feeding_id}")

    def _read(self, form: Form, token: str) -> Fed:
        """Return the feeding that a form says; what cannot be is said in the form."""
        method = form.choice("method", Method)
        if not form.text("method"):
            form.refuse("method", "the method is not said", "Choose how it was given.")
        known, ratio = measured_in(form, self._desk.manner.measures), ratio_in(form)
        mix = (found := diluted(known, ratio)) and found[0]
        if mix is None and form.ok:
            form.refuse("can", "no amount is said", "Say the can, the water or the juice: 5 L.")
        at = self._when(form)
        bottle_id = self._bottle_id(form, mix or NOTHING, token)
        return Fed(
            "",
            at,
            method or Method.DRENCH,
            (mix or NOTHING).juice_ml,
            (mix or NOTHING).water_ml,
            form.text("place"),
            bottle_id,
            form.text("round"),
            self._until(form, at),
            form.text("note"),
        )

    def _until(self, form: Form, at: datetime) -> datetime | None:
        if not form.text("until"):
            return None
        until_at = form.moment("until", self._desk.manner.zone, at)
        if until_at < at:
            form.refuse("until", "they came out before they went in", "Check the two times.")
        return until_at

    def _bottle_id(self, form: Form, mix: Dilution, token: str) -> str:
        """Return the bottle that a form names; refuse one that is not there, or has too little unless that is meant."""
        name = form.text("bottle") or NO_BOTTLE
        if name == NO_BOTTLE:
            return ""
        bottle = next((one for one in self._records.bottles() if one.id == name), None)
        if bottle is None:
            form.refuse("bottle", f"there is no bottle {name}", "Choose one of those in store.")
        elif self._lacks(bottle, mix.juice_ml, form, token):
            volume = self._desk.manner.volume
            what = f"{name} has {volume(bottle.left_ml)} left, and {volume(mix.juice_ml)} are wanted"
            form.refuse("bottle", what, "Take another, or tick below that more was taken.", unless="anyway")
        return name

    def _write(self, fed: Fed, token: str, *, anyway: bool) -> Fed:
        with self._desk.books.writing() as notebook:
            return Feedings(notebook).feed(fed, now_at=self._desk.now(), anyway=anyway, token=token)

    def _filled_in(self, round_id: str) -> Form | None:
        found = next((one for one in self._records.rounds() if one.id == round_id), None)
        return None if found is None else Form(round_fields(found, self._desk.manner))

    def _can(self, form: Form) -> CanView | None:
        """Return what the amounts of a form come to; its button is the form's own."""
        known, ratio = measured_in(form, self._desk.manner.measures), ratio_in(form)
        amounts_wrong = any(form.wrong(name) for name in ("ratio", "can", "water", "juice"))
        return None if amounts_wrong else can_view(known, ratio, (), self._desk.manner, linked=False)
