"""Plants: what is known of them, the grower's own, and a mix looked up without packing it."""

from functools import partial

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.amounts import volume_in, weight_in
from dashboard.figures import figure_from
from dashboard.forms import Form
from dashboard.frame import Frame, elsewhere
from dashboard.jar_told import belief_text
from dashboard.kept import Kept
from dashboard.pages.area import Area
from dashboard.views.packing import known_names
from dashboard.views.plants import MixAnswer, mix_answer, plant_cards, plant_fields
from station.domain.batch import Contents, batch_of, contents_from, known_plants, ratio_of
from station.domain.blends import plants_in
from station.domain.cautions import Step, cautions_for
from station.domain.mix import ratio_from
from station.domain.needs import plant_key
from station.domain.plants import Moisture, Plant, all_plants, own_plant
from station.errors import QuantityError
from station.store.ids import chosen
from station.store.own_plants import OwnPlants

MOST_BELIEFS = 64
MOISTURES = [(str(one), str(one)) for one in Moisture]


class PlantPages(Area):
    """The plants."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._beliefs = Kept(frame.desk.books.mark, most=MOST_BELIEFS)

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        form = self._frame.form_route
        return [
            Route("/plants", self.plants),
            Route("/mix", self.mix),
            Route("/mix/worked", self.worked),
            *form("/plants/own", self.own, self.added),
            *form("/plants/own/{name:path}/drop", self.drop, self.dropped),
        ]

    def plants(self, request: Request) -> Response:
        """Every plant."""
        own = self._records.own_plants()
        cards = plant_cards(own, self._needs(own))
        return self._frame.filled(request, "plants", plants=cards, cautions=cautions_for(Step.PICK))

    def _needs(self, own: tuple[Plant, ...]) -> dict[str, str]:
        """Return what is believed of the plants of which judged jars tell, or the grower by hand."""
        needs = self._records.needs()
        judged = {plant_key(jar.plant) for jar in needs.jars}
        told = [one.name for one in all_plants(own) if plant_key(one.name) in judged or needs.set_by_hand(one.name)]
        return {name: self._beliefs.get(name, partial(belief_text, self._desk, name)) for name in told}

    def own(self, request: Request, form: Form) -> Response:
        """A plant to be added, or one of the grower's own to be changed."""
        name = request.query_params.get("name", "")
        if request.method == "GET" and name:
            found = next((one for one in self._records.own_plants() if one.name == name), None)
            form = Form(plant_fields(found) if found else {"name": [name]})
        return self._frame.filled(request, "plant_own", form.status, form=form, moistures=MOISTURES)

    def added(self, request: Request, form: Form, token: str) -> Response:
        """It was added."""
        plant = self._read(form)

        def write() -> Plant:
            assert plant is not None  # noqa: S101 - else the form is not ok
            with self._desk.books.writing() as notebook:
                OwnPlants(notebook).add(plant, now_at=self._desk.now(), token=token)
            return plant

        return elsewhere("/plants") if form.kept(write) else self.own(request, form)

    def _read(self, form: Form) -> Plant | None:
        moisture = form.choice("moisture", Moisture)
        if not form.text("moisture"):
            form.refuse("moisture", "how juicy it is, is not said", "Choose one; medium if you do not know.")
        cautions = tuple(line.strip() for line in form.text("cautions").splitlines() if line.strip())
        also = tuple(name.strip() for name in form.text("also").split(",") if name.strip())

        def read(name: str) -> Plant:
            kind = moisture or Moisture.MEDIUM
            return own_plant(name, kind, form.text("parts"), form.text("picking"), cautions, also)

        return form.needed("name", read, "the name is missing", "Say what you call the plant.")

    def drop(self, request: Request, form: Form) -> Response:
        """A plant of one's own to be taken off the list."""
        names = {one.name.casefold(): one.name for one in self._records.own_plants()}
        name = names[chosen(request.path_params["name"].casefold(), sorted(names), "plant of your own", "Plants")]
        return self._frame.filled(request, "plant_drop", form.status, form=form, plant=name)

    def dropped(self, request: Request, form: Form, token: str) -> Response:
        """It is off the list."""

        def write() -> str:
            with self._desk.books.writing() as notebook:
                return OwnPlants(notebook).drop(request.path_params["name"], now_at=self._desk.now(), token=token)

        return elsewhere("/plants") if form.kept(write) else self.drop(request, form)

    def mix(self, request: Request) -> Response:
        """Sugar, cap and jar for a plant or a jar."""
        form, mix = self._asked(request)
        return self._frame.filled(
            request,
            "mixing",
            form=form,
            answer=mix,
            alone=False,
            names=known_names(self._records.own_plants()),
            moistures=[("", "as known"), *MOISTURES],
        )

    def worked(self, request: Request) -> Response:
        """Only the mix: asked for while somebody types."""
        form, mix = self._asked(request)
        return self._frame.filled(request, "mixing_worked", form=form, answer=mix, alone=True)

    def _asked(self, request: Request) -> tuple[Form, MixAnswer | None]:
        form = Form.asked(request.query_params)
        return form, self._mix(form)

    def _mix(self, form: Form) -> MixAnswer | None:
        """Return the mix that a form asks for; None where there is nothing to work out, or something is wrong."""
        own, measures = self._records.own_plants(), self._desk.manner.measures
        contents = form.read("plant", lambda text: contents_from(text, own)) or Contents("")
        plant_g, sugar_g = (form.read(name, weight_in(measures)) for name in ("weight", "sugar"))
        jar_ml = form.read("jar", volume_in(measures))
        times = form.read("times", _times) or 1.0
        moisture = form.choice("moisture", Moisture)
        ratio = ratio_of(contents, own, ratio=form.read("ratio", ratio_from), moisture=moisture)
        _check(form, contents, plant_g, sugar_g)
        weighed = contents.plant_g if plant_g is None else plant_g
        if not form.ok or (weighed, sugar_g, jar_ml) == (None, None, None):
            return None
        if ratio is None:
            form.read("plant", lambda _: known_plants(contents, own))
            form.refuse("plant", "no plant is named", "Name it, or say how juicy it is.")
            return None
        plants = plants_in(contents.name, own)
        batch = batch_of(plants, ratio, plant_g=weighed, sugar_g=sugar_g, jar_ml=jar_ml, times=times)
        return mix_answer(batch, moisture, self._desk.manner)


def _check(form: Form, contents: Contents, plant_g: float | None, sugar_g: float | None) -> None:
    if contents.shares and plant_g is not None:
        form.refuse("weight", "the blend has weights of its own", "Leave this empty.")
    if sugar_g is not None and (plant_g is not None or contents.shares):
        form.refuse("sugar", "both plant and sugar are weighed", "Give one of them: each follows from the other.")


def _times(text: str) -> float:
    times = figure_from(text)
    if not 0.0 < times <= 1000.0:
        raise QuantityError(f"{text!r} times the batch", "Give a number above 0, such as 3.")
    return times
