"""Bottles: the store, one bottle, and what a person does with it."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.amounts import volume_in
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.bottles import PLACE_CHOICES, BottleView, bottle_view, store_view
from dashboard.views.words import place_in_path
from station.domain.bottling import FILLING, Bottle, BottleEntry, Drawn, Emptied, Filled, LidClosed, Moved, bottle_from
from station.domain.cautions import Step, cautions_for
from station.domain.storage import Storage
from station.store.bottles import Bottles, Fill

MOST_EMPTY = 30
"""The store names this many empty bottles, the latest first."""


class BottlePages(Area):
    """The bottles."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        form = self._frame.form_route
        return [
            Route("/bottles", self.store),
            *form("/bottles/new", self.new, self.filled),
            Route("/bottles/{name}", self.bottle),
            *form("/bottles/{name}/use", self.use, self.used),
            *form("/bottles/{name}/move", self.move, self.moved),
            *form("/bottles/{name}/close", self.close, self.closed),
            *form("/bottles/{name}/empty", self.empty, self.emptied),
        ]

    def store(self, request: Request) -> Response:
        """Every bottle."""
        bottles = self._records.bottles()
        view = store_view(bottles, self._desk.now(), self._desk.manner)
        return self._frame.filled(request, "bottles", view=view, empty=view.empty[:MOST_EMPTY])

    def bottle(self, request: Request) -> Response:
        """One bottle."""
        view = self._view(request)
        return self._frame.filled(request, "bottle", view=view, cautions=cautions_for(Step.BOTTLE))

    def use(self, request: Request, form: Form) -> Response:
        """Juice to be taken out."""
        return self._act(request, form, "bottle_use")

    def used(self, request: Request, form: Form, token: str) -> Response:
        """Juice was taken out."""
        bottle = self._bottle(request)
        volume, told = volume_in(self._desk.manner.measures), self._desk.manner.volume
        amount_ml = form.needed("amount", volume, "there is no amount", "Say how much: 20 mL.")
        if amount_ml is not None and self._lacks(bottle, amount_ml, form, token):
            what = f"{told(bottle.left_ml)} are left, and {told(amount_ml)} are wanted"
            form.refuse("amount", what, "Take less, or tick below that more was taken.", unless="anyway")
        drawn = Drawn(bottle.id, self._when(form), amount_ml or 0.0, note=form.text("note"))
        return self._keep(request, form, token, drawn) or self.use(request, form)

    def move(self, request: Request, form: Form) -> Response:
        """Another place."""
        return self._act(request, form, "bottle_move", places=PLACE_CHOICES)

    def moved(self, request: Request, form: Form, token: str) -> Response:
        """It stands elsewhere now."""
        storage = form.choice("storage", Storage, self._bottle(request).storage)
        entry = Moved(self._bottle(request).id, self._when(form), storage or Storage.COOL)
        return self._keep(request, form, token, entry) or self.move(request, form)

    def close(self, request: Request, form: Form) -> Response:
        """A lid to be closed."""
        return self._act(request, form, "bottle_close")

    def closed(self, request: Request, form: Form, token: str) -> Response:
        """The lid was closed."""
        entry = LidClosed(self._bottle(request).id, self._when(form))
        return self._keep(request, form, token, entry) or self.close(request, form)

    def empty(self, request: Request, form: Form) -> Response:
        """Emptying."""
        return self._act(request, form, "bottle_empty")

    def emptied(self, request: Request, form: Form, token: str) -> Response:
        """It is empty."""
        entry = Emptied(self._bottle(request).id, self._when(form), form.text("reason"))
        return self._keep(request, form, token, entry) or self.empty(request, form)

    def new(self, request: Request, form: Form) -> Response:
        """A bottle that came from no jar of this shelf, or from one that was collected before."""
        jars = self._desk.books.jars()
        return self._frame.filled(
            request,
            "bottle_new",
            form.status,
            form=form,
            sources=[jar.id for jar in jars if jar.bottled_at is not None],
            places=PLACE_CHOICES,
            advice=FILLING,
            cautions=cautions_for(Step.BOTTLE),
        )

    def filled(self, request: Request, form: Form, token: str) -> Response:
        """It was filled."""
        source = form.needed("source", str, "the source is empty", "Name the plant or the jar.") or ""
        volume = volume_in(self._desk.manner.measures)
        amount_ml = form.needed("amount", volume, "there is no amount", "Say how much is in it: 200 mL.") or 0.0
        size_ml = form.read("size", volume)
        storage = form.choice("storage", Storage, Storage.COOL) or Storage.COOL
        jar = self._desk.books.whole_jar(source.lower())
        named = (jar.id, jar.plant) if jar else ("", source)
        model = Filled("", self._when(form), *named, 0.0, None, storage, form.text("note"))
        made = form.kept(lambda: self._fill(Fill(amount_ml, size_ml), model, token))
        return self.new(request, form) if made is None else elsewhere(place_in_path("/bottles", made.id))

    def _fill(self, fill: Fill, model: Filled, token: str) -> Bottle:
        with self._desk.books.writing() as notebook:
            return Bottles(notebook).fill([fill], model, now_at=self._desk.now(), token=token)[0]

    def _keep(self, request: Request, form: Form, token: str, entry: BottleEntry) -> Response | None:
        """Write an entry and go back to the bottle; None where that cannot be, and the form says why."""

        def write() -> Bottle:
            with self._desk.books.writing() as notebook:
                anyway = form.ticked("anyway")
                return Bottles(notebook).record(entry, now_at=self._desk.now(), anyway=anyway, token=token)

        found = form.kept(write)
        return None if found is None else elsewhere(place_in_path("/bottles", found.id))

    def _act(self, request: Request, form: Form, template: str, **values: object) -> Response:
        view = self._view(request)
        return self._frame.filled(
            request, template, form.status, form=form, view=view, cautions=cautions_for(Step.BOTTLE), **values
        )

    def _view(self, request: Request) -> BottleView:
        told = self._records.told_bottle(request.path_params["name"])
        jar = self._desk.books.whole_jar(bottle_from(told).jar_id)
        return bottle_view(told, jar, self._records.feedings(), self._desk.now(), self._desk.manner)

    def _bottle(self, request: Request) -> Bottle:
        return self._records.bottle(request.path_params["name"])
