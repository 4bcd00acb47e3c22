"""Jars as programs read and record them: weights in g, volumes in mL, warmth in warm-days and °C·h."""

from datetime import datetime
from typing import Annotated

from pydantic import Field

from dashboard.api.asking import Grams, Millilitres, Reference, Sent, ShortName, Time, Words, Yes
from dashboard.api.models import Model
from station.domain.collecting import jar_warnings
from station.domain.jars import Jar, Judgement, Noted, Stage
from station.domain.note_advice import advice_after
from station.domain.observations import Act, Bubbles, Juice, Seen, Smell, Surface
from station.domain.outlook import Outlook
from station.domain.packing import Cover, Packing, Vessel
from station.domain.preparations import Preparation
from station.domain.storage import Storage


class NeedOut(Model):
    """How many warm-days a jar needs, as 10, 50 and 90 %."""

    low: float
    likely: float
    high: float


class ReadyOut(Model):
    """When a jar is ready, as 10, 50 and 90 %; null beyond the forecast's horizon."""

    early: datetime | None
    likely: datetime | None
    late: datetime | None


class OutlookOut(Model):
    """What the station thinks of a jar."""

    judged_at: datetime
    degree_hours: float = Field(description="Warmth so far above the base temperature, °C·h.")
    base_c: float = Field(description="The base temperature: only what is above it counts, °C.")
    warm_days: float = Field(description="Warmth so far in days at 20 °C.")
    observed_h: float = Field(description="Hours that were measured.")
    missing_h: float = Field(description="Hours of which nothing is known.")
    temp_c: float | None = Field(description="The jar's own temperature, °C.")
    need: NeedOut
    ready: ReadyOut
    ready_at: datetime | None = Field(description="When its warmth reached the likely need.")
    strain_evening: datetime | None = Field(description="The evening on which to strain it; null where none is known.")
    chance_ready: float = Field(description="How likely it is ready already, 0 to 1.")
    chance_past: float = Field(description="How likely it is past its best already, 0 to 1.")
    caveats: list[str]

    @classmethod
    def of(cls, outlook: Outlook) -> "OutlookOut":
        """Return an outlook as it is answered."""
        warmth = outlook.heat.warmth
        return cls(
            judged_at=outlook.judged_at,
            degree_hours=outlook.degree_hours,
            base_c=outlook.base_c,
            warm_days=outlook.warm_days,
            observed_h=warmth.observed_h,
            missing_h=warmth.missing_h,
            temp_c=outlook.heat.temp_c,
            need=NeedOut(low=outlook.need_low, likely=outlook.need_likely, high=outlook.need_high),
            ready=ReadyOut(early=outlook.ready_early_at, likely=outlook.ready_likely_at, late=outlook.ready_late_at),
            ready_at=outlook.ready_at,
            strain_evening=outlook.evening_at,
            chance_ready=outlook.chance_ready,
            chance_past=outlook.chance_past,
            caveats=list(outlook.caveats),
        )


class NoteOut(Model):
    """One look at a jar, or one thought; null is what was not looked at."""

    at: datetime
    text: str
    juice: Juice | None
    smell: Smell | None
    bubbles: Bubbles | None
    surface: Surface | None
    cover: Cover | None = Field(description="What closes the jar from then on; null where that is as before.")
    photos: list[str] = Field(description="Where its photos are.")

    @classmethod
    def of(cls, note: Noted) -> "NoteOut":
        """Return a note as it is answered."""
        seen = note.seen
        return cls(
            at=note.at,
            text=note.text,
            juice=seen.juice,
            smell=seen.smell,
            bubbles=seen.bubbles,
            surface=seen.surface,
            cover=note.cover,
            photos=list(note.photos),
        )


class ShareOut(Model):
    """One plant of a blend."""

    plant: str
    plant_g: float = Field(description="Its weight, g.")


class PackingOut(Model):
    """How a jar was packed; null or empty is what was not written down."""

    kind: Preparation
    days: float | None = Field(description="Days it is to stand; null where it goes by warmth.")
    blend: list[ShareOut]
    cap_g: float | None = Field(description="Sugar laid on top, g, part of the sugar.")
    picked_where: str
    vessel: Vessel
    cover: Cover
    stone_boiled: bool | None
    photos: list[str] = Field(description="Where its photos are.")

    @classmethod
    def of(cls, packing: Packing) -> "PackingOut":
        """Return a packing as it is answered."""
        return cls(
            kind=packing.preparation,
            days=packing.stand_days,
            blend=[ShareOut(plant=share.plant, plant_g=share.plant_g) for share in packing.blend],
            cap_g=packing.cap_g,
            picked_where=packing.picked_where,
            vessel=packing.vessel,
            cover=packing.cover,
            stone_boiled=packing.stone_boiled,
            photos=list(packing.photos),
        )


class JarOut(Model):
    """One jar."""

    id: str
    plant: str
    stage: Stage
    packed_at: datetime
    jar_ml: float = Field(description="The jar's volume, mL.")
    plant_g: float | None = Field(description="Plant, g.")
    sugar_g: float | None = Field(description="Sugar, g.")
    probe: str = Field(description="The probe on it; empty for none.")
    packing: PackingOut
    warnings: list[str] = Field(description="What should be put right about its packing, or its record.")
    due_at: datetime | None = Field(description="When it has stood its days; null where it goes by warmth.")
    notes: list[NoteOut]
    strained_at: datetime | None
    bottled_at: datetime | None
    discarded_at: datetime | None
    discard_reason: str
    juice_ml: float | None = Field(description="Juice collected, mL.")
    judgement: Judgement | None
    outlook: OutlookOut | None = Field(description="Null before the station's first minute with this jar.")

    @classmethod
    def of(cls, jar: Jar, stands: Stage, outlook: Outlook | None) -> "JarOut":
        """Return a jar as it is answered."""
        return cls(
            id=jar.id,
            plant=jar.plant,
            stage=stands,
            packed_at=jar.packed_at,
            jar_ml=jar.jar_ml,
            plant_g=jar.plant_g,
            sugar_g=jar.sugar_g,
            probe=jar.probe,
            packing=PackingOut.of(jar.packing),
            warnings=list(jar_warnings(jar)),
            due_at=jar.due_at,
            notes=[NoteOut.of(note) for note in jar.notes],
            strained_at=jar.strained_at,
            bottled_at=jar.bottled_at,
            discarded_at=jar.discarded_at,
            discard_reason=jar.discard_reason,
            juice_ml=jar.juice_ml,
            judgement=jar.judgement,
            outlook=None if outlook is None else OutlookOut.of(outlook),
        )


class AdviceOut(Model):
    """What to do, in a sentence or two."""

    act: Act
    text: str


class NotedOut(Model):
    """A jar after a note, and what follows from what was seen by now; a discard stands alone."""

    jar: JarOut
    advice: list[AdviceOut]

    @classmethod
    def of(cls, jar: Jar, note: Noted, shown: JarOut) -> "NotedOut":
        """Return what follows from a note."""
        return cls(jar=shown, advice=[AdviceOut(act=one.act, text=one.text) for one in advice_after(jar, note)])


class PackIn(Sent):
    """A jar that was packed."""

    plant: ShortName = Field(description="Such as comfrey; a blend with weights as nettle:200g+clover:60g.")
    at: Time | None = Field(None, description="When; now if left out.")
    jar_ml: Millilitres = Field(1000.0, description="The jar's volume, mL.")
    plant_g: Grams | None = Field(None, description="Plant, g; a blend names its own weights.")
    sugar_g: Grams | None = Field(None, description="All the sugar, g.")
    cap_g: Grams | None = Field(None, description="How much of the sugar lies on top, g.")
    kind: Preparation = Field(Preparation.FERMENT, description="What it is.")
    days: Annotated[float, Field(ge=0.5, le=366, strict=True)] | None = Field(
        None, description="Days it is to stand, if it does not go by warmth."
    )
    picked_where: Words = Field("", description="Where the plants were picked.")
    vessel: Vessel = Field(Vessel.GLASS, description="What the jar is made of.")
    cover: Cover = Field(Cover.CLOTH, description="What closes it.")
    stone_boiled: Yes | None = Field(None, description="Whether the weight stone was boiled.")
    probe: Reference | None = Field(None, description="The name of the probe on it, as in the settings.")


class CorrectIn(Sent):
    """What was written down wrong of a packing; what is left out was right."""

    plant: ShortName | None = Field(None, description="What is in it; not of a blend.")
    jar_ml: Millilitres | None = Field(None, description="The jar's volume, mL.")
    plant_g: Grams | None = Field(None, description="Plant, g; not of a blend.")
    sugar_g: Grams | None = Field(None, description="All the sugar, g.")


class NoteIn(Sent):
    """Something seen, smelled or thought."""

    at: Time | None = Field(None, description="When; now if left out.")
    text: Words = ""
    juice: Juice | None = Field(None, description="How much juice stands in it.")
    smell: Smell | None = Field(None, description="What it smells of.")
    bubbles: Bubbles | None = Field(None, description="How much it bubbles.")
    surface: Surface | None = Field(None, description="What the surface looks like; fuzzy and coloured are mould.")
    cover: Cover | None = Field(None, description="What closes it from now on, such as a lid that was loosened.")

    @property
    def seen(self) -> Seen:
        """The look itself."""
        return Seen(self.juice, self.smell, self.bubbles, self.surface)


class StrainIn(Sent):
    """A jar was tipped into the strainer."""

    at: Time | None = Field(None, description="When; now if left out.")
    judgement: Judgement | None = Field(None, description="Whether it was the right time.")


class JudgeIn(Sent):
    """What the grower thought of the time of straining."""

    at: Time | None = Field(None, description="When it was judged; now if left out.")
    judgement: Judgement | None = Field(description="Null takes an earlier judgement back.")


class FillIn(Sent):
    """One bottle that was filled."""

    volume_ml: Millilitres = Field(description="Juice in it, mL.")
    bottle_ml: Millilitres | None = Field(None, description="What it holds to the brim, mL; a third should stay empty.")


class CollectIn(Sent):
    """The juice was collected, and filled into bottles."""

    at: Time | None = Field(None, description="When; now if left out.")
    fills: list[FillIn] = Field([], max_length=50, description="The bottles; may be none.")
    juice_ml: Millilitres | None = Field(None, description="Juice collected, mL; the sum of the bottles if left out.")
    storage: Storage = Field(Storage.COOL, description="Where the bottles are kept.")
    note: Words = ""
    anyway: Yes = Field(False, description="Record it even if it is more than the jar holds.")


class DiscardIn(Sent):
    """The whole jar was thrown away."""

    at: Time | None = Field(None, description="When; now if left out.")
    reason: Words = Field("", description="Why, such as mould.")
