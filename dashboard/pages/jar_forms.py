"""What a person does with a jar, each on a short page of its own: note, strain, judge, bottle, discard."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from dashboard.amounts import volume_in, weight_in
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.bottles import PLACE_CHOICES
from dashboard.views.jars import collectable_at
from dashboard.views.packing import known_names
from dashboard.views.words import place_in_path
from station.domain.batch import contents_from
from station.domain.bottling import FILLING, Bottle
from station.domain.cautions import Step, cautions_for
from station.domain.collecting import check_juice
from station.domain.jars import Corrected, Discarded, Entry, Jar, Judged, Judgement, Noted, Strained
from station.domain.moments import seen_from
from station.domain.note_advice import must_discard
from station.domain.observations import Bubbles, Juice, Seen, Smell, Surface
from station.domain.packing import Cover
from station.domain.preparations import recipe
from station.domain.storage import Storage
from station.errors import JarsideError, NotebookError
from station.store.bottles import Bottles, Fill

NOT_LOOKED = ("", "not looked")
JUDGEMENTS = tuple((one.value, one.value) for one in Judgement)
TAKE_BACK = "none"
REASONS = (("mould", "mould"), ("foul smell", "foul smell"), ("flies", "flies"), ("spilt", "spilt"), ("", "other"))
MOST_BOTTLES = 8


class JarForms(Area):
    """The forms of a jar."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        form = self._frame.form_route
        return [
            *form("/jars/{name}/note", self.note, self.noted),
            *form("/jars/{name}/correct", self.correct, self.corrected),
            *form("/jars/{name}/strain", self.strain, self.strained),
            *form("/jars/{name}/judge", self.judge, self.judged),
            *form("/jars/{name}/bottle", self.bottle, self.bottled),
            *form("/jars/{name}/discard", self.discard, self.discarded),
        ]

    def note(self, request: Request, form: Form) -> Response:
        """What is seen."""
        looks = {
            "juice": [NOT_LOOKED, *((one.value, one.value) for one in Juice)],
            "smell": [NOT_LOOKED, *((one.value, one.value) for one in Smell)],
            "bubbles": [NOT_LOOKED, *((one.value, one.value) for one in Bubbles)],
            "surface": [NOT_LOOKED, *((one.value, one.value) for one in Surface)],
        }
        covers = [("", "as before"), *((one.value, one.value) for one in Cover)]
        return self._shown(request, form, "jar_note", looks=looks, covers=covers)

    def noted(self, request: Request, form: Form, token: str) -> Response:
        """Something was seen."""
        seen = Seen(
            form.choice("juice", Juice),
            form.choice("smell", Smell),
            form.choice("bubbles", Bubbles),
            form.choice("surface", Surface),
        )
        photos = tuple(line.strip() for line in form.text("photos").splitlines() if line.strip())
        cover = form.choice("cover", Cover)
        if not form.text("text") and seen == Seen() and not photos and cover is None:
            form.refuse("text", "the note is empty", "Tap what you see, or write a few words.")
        noted = Noted(self._jar(request).id, self._when(form), form.text("text"), seen, photos, cover)
        return self._kept(request, form, token, noted) or self.note(request, form)

    def correct(self, request: Request, form: Form) -> Response:
        """What was written down wrong."""
        jar, manner = self._jar(request), self._desk.manner
        return self._shown(
            request,
            form,
            "jar_correct",
            blend=bool(jar.packing.blend),
            names=known_names(self._records.own_plants()),
            weight="not weighed" if jar.plant_g is None else manner.weight(jar.plant_g),
            sugar="not weighed" if jar.sugar_g is None else manner.weight(jar.sugar_g),
            size=manner.volume(jar.jar_ml),
        )

    def corrected(self, request: Request, form: Form, token: str) -> Response:
        """It is put right."""
        measures = self._desk.manner.measures
        weight, own = weight_in(measures), self._records.own_plants()
        plant = form.read("plant", lambda text: contents_from(text, own).name)
        amounts = form.read("size", volume_in(measures)), form.read("weight", weight), form.read("sugar", weight)
        if form.ok and plant is None and not any(amounts):
            form.problem = JarsideError("nothing to correct is said", "Fill in what was wrong.")
        entry = Corrected(self._jar(request).id, self._desk.now(), plant, *amounts)
        return self._kept(request, form, token, entry) or self.correct(request, form)

    def strain(self, request: Request, form: Form) -> Response:
        """To be strained."""
        return self._shown(
            request,
            form,
            "jar_strain",
            judgements=[("", "say later"), *JUDGEMENTS],
            grave=_grave(self._jar(request)),
            straining=recipe(self._jar(request).packing.preparation).straining,
            cautions=cautions_for(Step.STRAIN),
        )

    def strained(self, request: Request, form: Form, token: str) -> Response:
        """It was tipped into the strainer."""
        jar, at, judgement = self._jar(request), self._when(form), form.choice("judgement", Judgement)
        entries: list[Entry] = [Strained(jar.id, at)]
        entries += [Judged(jar.id, at, judgement)] if judgement else []
        return self._kept(request, form, token, *entries) or self.strain(request, form)

    def judge(self, request: Request, form: Form) -> Response:
        """Was it the right time?"""
        jar = self._jar(request)
        choices = [*JUDGEMENTS, *([(TAKE_BACK, "take it back")] if jar.judgement else [])]
        return self._shown(request, form, "jar_judge", judgements=choices)

    def judged(self, request: Request, form: Form, token: str) -> Response:
        """It was judged, or a judgement was taken back."""
        withdrawn = form.text("judgement") == TAKE_BACK
        judgement = None if withdrawn else form.choice("judgement", Judgement)
        if judgement is None and not withdrawn:
            form.refuse("judgement", "nothing is chosen", "Tap one.")
        entry = Judged(self._jar(request).id, self._when(form), judgement)
        return self._kept(request, form, token, entry) or self.judge(request, form)

    def bottle(self, request: Request, form: Form) -> Response:
        """To be collected."""
        last = max((number for number in _numbers() if form.text(f"volume_{number}")), default=0)
        return self._shown(
            request,
            form,
            "jar_bottle",
            places=PLACE_CHOICES,
            advice=FILLING,
            dripping=self._dripping(self._jar(request)),
            numbers=_numbers(),
            shown=max(2, last),
            cautions=cautions_for(Step.BOTTLE),
        )

    def _dripping(self, jar: Jar) -> str:
        """Return until when it drips, as long as it does, in words; else ""."""
        now_at, manner = self._desk.now(), self._desk.manner
        if jar.strained_at is None or jar.bottled_at is not None:
            return ""
        until_at = collectable_at(jar, jar.strained_at, manner)
        return seen_from(until_at, now_at, manner.zone) if now_at < until_at else ""

    def bottled(self, request: Request, form: Form, token: str) -> Response:
        """The juice was collected, and filled into bottles."""
        jar, at, volume = self._jar(request), self._when(form), volume_in(self._desk.manner.measures)
        size_ml, juice_ml = form.read("size", volume), form.read("juice", volume)
        volumes = [form.read(f"volume_{number}", volume) for number in _numbers()]
        fills = [Fill(volume_ml, size_ml) for volume_ml in volumes if volume_ml is not None]
        storage = form.choice("storage", Storage, Storage.COOL) or Storage.COOL
        anyway = form.ticked("anyway")
        if form.ok and not anyway:
            self._check_juice(form, jar, juice_ml, fills)

        def write() -> tuple[Bottle, ...]:
            with self._desk.books.writing() as notebook:
                return Bottles(notebook).bottle_jar(
                    jar.id,
                    fills,
                    at,
                    now_at=self._desk.now(),
                    juice_ml=juice_ml,
                    storage=storage,
                    note=form.text("note"),
                    anyway=anyway,
                    token=f"{token}/bottle",
                )

        made = form.kept(write)
        return self.bottle(request, form) if made is None else elsewhere(place_in_path("/jars", jar.id))

    def _check_juice(self, form: Form, jar: Jar, juice_ml: float | None, fills: list[Fill]) -> None:
        """Say where more was collected than the jar holds, and offer that it was so."""
        total_ml = max(juice_ml or 0.0, sum(fill.volume_ml for fill in fills))
        try:
            check_juice(jar, total_ml)
        except NotebookError as error:
            field, what = "juice" if juice_ml == total_ml else "volume_1", error.what_in(self._desk.manner.zone)
            form.refuse(field, what, error.page_remedy, unless="anyway")

    def discard(self, request: Request, form: Form) -> Response:
        """To be thrown away."""
        return self._shown(request, form, "jar_discard", reasons=REASONS, grave=_grave(self._jar(request)))

    def discarded(self, request: Request, form: Form, token: str) -> Response:
        """The whole jar was thrown away."""
        if not form.ticked("sure"):
            form.refuse("sure", "look twice: this ends the jar", "Tick it once the whole jar is gone.")
        reason = ", ".join(part for part in (form.text("reason"), form.text("words")) if part)
        entry = Discarded(self._jar(request).id, self._when(form), reason)
        return self._kept(request, form, token, entry) or self.discard(request, form)

    def _kept(self, request: Request, form: Form, token: str, *entries: Entry) -> Response | None:
        """Write entries and go back to the jar; None where that cannot be, and the form says why."""

        def write() -> Jar:
            with self._desk.books.writing() as notebook:
                for entry in entries:
                    jar = notebook.record(entry, now_at=self._desk.now(), token=f"{token}/{entry.kind}")
                return jar

        jar = form.kept(write)
        return None if jar is None else elsewhere(place_in_path("/jars", jar.id))

    def _shown(self, request: Request, form: Form, template: str, **values: object) -> Response:
        return self._frame.filled(request, template, form.status, form=form, jar=self._jar(request), **values)

    def _jar(self, request: Request) -> Jar:
        return self._desk.books.jar(request.path_params["name"])


def _grave(jar: Jar) -> list[str]:
    """Return why a jar must be discarded; nothing if it need not be."""
    return [one.text for one in must_discard(jar)]


def _numbers() -> range:
    return range(1, MOST_BOTTLES + 1)
