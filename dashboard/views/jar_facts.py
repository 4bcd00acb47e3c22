"""What is known of a jar, as names and values: what went in, the warmth it has had, and how it ended."""

from collections.abc import Iterator

from dashboard.views.manner import Manner
from station.domain.figures import counted, number_text, temp_text
from station.domain.jars import Jar
from station.domain.mix import ratio_text
from station.domain.moments import moment_text
from station.domain.need_words import OUT_OF_REACH
from station.domain.needs import out_of_reach
from station.domain.outlook import Outlook
from station.domain.packing import Cover
from station.domain.preparations import Preparation, recipe

Fact = tuple[str, str]


def jar_facts(jar: Jar, outlook: Outlook | None, manner: Manner) -> Iterator[Fact]:
    """Yield what is known of a jar, in order.

    Args:
        jar: as the notebook tells it.
        outlook: what the station thinks of it, or None.
        manner: zone and units.
    """
    yield "Packed", moment_text(jar.packed_at, manner.zone)
    yield from _contents(jar, manner)
    yield from _heat_facts(outlook, manner) if outlook and jar.due_at is None else ()
    if jar.due_at is not None:
        yield "Stands", f"{counted(jar.packing.stand_days or 0.0, 'day')}, until {moment_text(jar.due_at, manner.zone)}"
    yield from _endings(jar, outlook, manner)


def _contents(jar: Jar, manner: Manner) -> Iterator[Fact]:
    if jar.packing.preparation is not Preparation.FERMENT:
        yield "What it is", recipe(jar.packing.preparation).name
    if jar.plant_g:
        yield "Plant", manner.weight(jar.plant_g)
    for share in jar.packing.blend:
        yield f"of it {share.plant}", manner.weight(share.plant_g)
    if jar.sugar_g:
        cap = f", {manner.weight(jar.packing.cap_g)} of it on top" if jar.packing.cap_g else ""
        yield "Sugar", f"{manner.weight(jar.sugar_g)}{cap}"
    if jar.sugar_g and jar.plant_g:
        yield "Plant to sugar", ratio_text(jar.plant_g / jar.sugar_g)
    cover = "no cover" if jar.packing.cover is Cover.NONE else str(jar.packing.cover)
    yield "Jar", f"{manner.volume(jar.jar_ml)}, {jar.packing.vessel}, {cover}"
    if jar.packing.stone_boiled is not None:
        yield "Weight stone", "boiled" if jar.packing.stone_boiled else "not boiled"
    if jar.packing.picked_where:
        yield "Picked", jar.packing.picked_where
    if jar.packing.photos:
        yield "Photos", ", ".join(jar.packing.photos)


def _heat_facts(outlook: Outlook, manner: Manner) -> Iterator[Fact]:
    warmth = outlook.heat.warmth
    need = f"{number_text(outlook.need_low, 1)} to {number_text(outlook.need_high, 1)} warm-days"
    yield "Likely to need", f"{need}, about {number_text(outlook.need_likely, 1)}"
    if outlook.heat.temp_c is not None:
        yield "Jar's own temperature", temp_text(outlook.heat.temp_c, manner.unit)
    yield "Measured", f"{number_text(warmth.observed_h)} h"
    if warmth.missing_h >= 0.5:
        yield "Not measured", f"{number_text(warmth.missing_h)} h: the dates are less certain"


def _endings(jar: Jar, outlook: Outlook | None, manner: Manner) -> Iterator[Fact]:
    if jar.strained_at:
        yield "Strained", moment_text(jar.strained_at, manner.zone)
    if jar.judgement:
        far = outlook is not None and out_of_reach(jar, outlook.heat)
        yield "Judged", f"{jar.judgement}; not counted: {OUT_OF_REACH}" if far else str(jar.judgement)
    if jar.bottled_at:
        yield "Bottled", moment_text(jar.bottled_at, manner.zone)
    if jar.juice_ml:
        yield "Juice", manner.volume(jar.juice_ml)
    if jar.discarded_at:
        yield "Discarded", moment_text(jar.discarded_at, manner.zone)
    if jar.discard_reason:
        yield "Why", jar.discard_reason
