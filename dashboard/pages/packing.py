"""Packing a jar: the form, the mix as it is typed, and the jars that come of it."""

from datetime import datetime

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.amounts import volume_in, weight_in
from dashboard.figures import count_up_to, figure_from
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.packing import (
    ALIKE,
    SIZES,
    USUAL_SIZE,
    Asked,
    MixView,
    filled,
    kinds,
    known_names,
    mix_view,
)
from dashboard.views.words import place_in_path
from station.domain.batch import Contents, contents_from
from station.domain.cautions import Step, cautions_for
from station.domain.jars import Jar
from station.domain.mix import ratio_from
from station.domain.packing import Cover, Packing, Vessel
from station.domain.plants import Moisture, Plant, near_names
from station.domain.preparations import Preparation
from station.errors import QuantityError
from station.store.notebook import Notebook

MOST_JARS = 12
MOST_LETTERS = 120
LATER = frozenset(
    {"other_size", "other_jars", "moisture", "ratio", "sugar", "cap", "days", "packed_at", "cover", "vessel", "probe"}
)
"""The fields under "More": open when one of them is wrong."""
TYPED = ("plant", "weight", "size", "jars", "other_size", "other_jars", "moisture", "ratio", "sugar", "cap", "days")
"""The fields that a mix follows from."""
WORK_IT_OUT = "mix"


class PackPages(Area):
    """The packing form."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [Route("/jars/mix", self.mix), *self._frame.form_route("/jars/pack", self.pack, self.packed)]

    def mix(self, request: Request) -> Response:
        """The mix alone, for the form as it stands: asked for while somebody types."""
        form = Form.asked(request.query_params)
        return self._frame.filled(request, "mix", mix=self._mix(form), form=form, typed=TYPED, alone=True)

    def pack(self, request: Request, form: Form) -> Response:
        """The form; an address such as /jars/pack?plant=nettle fills in what is known already."""
        query = request.query_params
        return self._shown(request, Form.asked(query) if query else form)

    def packed(self, request: Request, form: Form, token: str) -> Response:
        """A jar was packed, or its mix is to be worked out."""
        own = self._own()
        if form.text("do") == WORK_IT_OUT:
            return self._shown(request, form)
        asked = self._asked(form, own)
        if not asked.contents.name:
            form.refuse("plant", "the plant is missing", "Name what is in the jar.")
        if len(asked.contents.name) > MOST_LETTERS:
            form.refuse("plant", f"the plant's name has {len(asked.contents.name)} letters", f"Use {MOST_LETTERS}.")
        if form.ok and not form.text("meant"):
            self._ask_what_is_meant(form, asked, own)
        at = self._when(form, "packed_at")
        probe = form.text("probe")
        if probe and probe not in self._desk.settings.jar_probes:
            form.refuse("probe", f"there is no probe {probe} in the settings", "Choose one of them.")
        jars = form.kept(lambda: self._write(asked, own, at, probe, token))
        return elsewhere(place_in_path("/jars", jars[0].id)) if jars else self._shown(request, form)

    def _ask_what_is_meant(self, form: Form, asked: Asked, own: tuple[Plant, ...]) -> None:
        """Ask once where a strange name is nearly that of a known plant, unless it was packed under it before."""
        name = asked.contents.name
        packed_before = (jar.plant for jar in self._desk.books.jars())
        if not asked.contents.shares and name not in packed_before and near_names(name, own):
            form.refuse("plant", f"{name} is not among the plants known here", "Tap which is meant.", unless="meant")

    def _write(self, asked: Asked, own: tuple[Plant, ...], at: datetime, probe: str, token: str) -> tuple[Jar, ...]:
        with self._desk.books.writing() as notebook:
            marks = [f"{token}/pack/{number}" for number in range(asked.jars)]
            return tuple(_pack(notebook, asked, own, at, self._desk.now(), probe, mark) for mark in marks)

    def _shown(self, request: Request, form: Form) -> Response:
        desk, own = self._desk, self._own()
        measures = desk.manner.measures
        used = tuple(jar.plant for jar in desk.books.jars()[:200])
        mix = self._mix(form)
        return self._frame.filled(
            request,
            "pack",
            form.status,
            form=form,
            mix=mix,
            alone=False,
            alike=_alike(form),
            meant=_meant(form, own) if form.offers("meant") else (),
            names=known_names(own, used),
            sizes=SIZES[measures],
            usual_size=USUAL_SIZE[measures],
            kinds=kinds(),
            moistures=[("", "as known"), *((one.value, one.value) for one in Moisture)],
            covers=[(one.value, one.value) for one in Cover],
            vessels=[(one.value, one.value) for one in Vessel],
            probes=[("", "none"), *((name, name) for name in desk.settings.jar_probes)],
            more=any(form.wrong(name) for name in LATER),
            cautions=cautions_for(Step.PACK),
        )

    def _own(self) -> tuple[Plant, ...]:
        return self._records.own_plants()

    def _mix(self, form: Form) -> MixView | None:
        """Return the mix of a form; None where there is nothing to work out yet."""
        own, manner = self._own(), self._desk.manner
        asked = self._asked(form, own)
        at = self._when(form, "packed_at")
        return mix_view(asked, own, at, manner) if form.ok else None

    def _asked(self, form: Form, own: tuple[Plant, ...]) -> Asked:
        """Return what a form says; what cannot be read is remembered in the form."""
        measures = self._desk.manner.measures
        weight, count = weight_in(measures), count_up_to(MOST_JARS)
        contents = form.read("plant", lambda text: contents_from(form.text("meant") or text, own)) or Contents("")
        plant_g = form.read("weight", weight)
        if contents.shares and plant_g is not None:
            form.refuse("weight", "the blend has weights of its own", "Leave this empty.")
        sugar_g, cap_g = form.read("sugar", weight), form.read("cap", weight)
        size = form.read("other_size", volume_in(measures)) or form.read("size", volume_in(measures))
        return Asked(
            contents,
            size or volume_in(measures)(USUAL_SIZE[measures]),
            form.read("other_jars", count) or form.read("jars", count) or 1,
            plant_g,
            sugar_g,
            _checked_cap(form, cap_g, sugar_g),
            form.read("ratio", ratio_from),
            form.choice("moisture", Moisture),
            _packing(form),
        )


def _pack(
    notebook: Notebook, asked: Asked, own: tuple[Plant, ...], at: datetime, now_at: datetime, probe: str, token: str
) -> Jar:
    each = filled(asked, own)
    return notebook.pack(
        asked.contents.name,
        at,
        asked.jar_ml,
        now_at=now_at,
        plant_g=each.plant_g,
        sugar_g=each.sugar_g,
        probe=probe,
        packing=each.packing,
        token=token,
    )


def _packing(form: Form) -> Packing:
    return Packing(
        preparation=form.choice("kind", Preparation, Preparation.FERMENT) or Preparation.FERMENT,
        days=form.read("days", _days),
        picked_where=form.text("where"),
        vessel=form.choice("vessel", Vessel, Vessel.GLASS) or Vessel.GLASS,
        cover=form.choice("cover", Cover, Cover.CLOTH) or Cover.CLOTH,
        stone_boiled={"yes": True, "no": False}.get(form.text("stone")),
        photos=tuple(line.strip() for line in form.text("photos").splitlines() if line.strip()),
    )


def _alike(form: Form) -> list[tuple[str, str]]:
    """Return how many jars one may choose with a tap; a number that an address brought along is among them."""
    usual = [str(count) for count in ALIKE]
    return [(count, count) for count in dict.fromkeys((*usual, form.text("jars") or usual[0]))]


def _meant(form: Form, own: tuple[Plant, ...]) -> tuple[tuple[str, str], ...]:
    """Return what a strange name may mean, and itself: name and label of a button each."""
    typed = " ".join(form.text("plant").split())
    return (*((name, f"It is {name}") for name in near_names(typed, own)), (typed, f"It is {typed}, as typed"))


def _checked_cap(form: Form, cap_g: float | None, sugar_g: float | None) -> float | None:
    if cap_g is not None and sugar_g is not None and cap_g > sugar_g:
        form.refuse("cap", "the cap is more than all the sugar", "The cap is part of the sugar.")
    return cap_g


def _days(text: str) -> float:
    days = figure_from(text)
    if not 0.0 < days <= 366.0:
        raise QuantityError(f"{text!r} days", "Give a number of days above 0, such as 10.")
    return days
