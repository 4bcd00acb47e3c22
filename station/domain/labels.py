"""Labels: what stands on a jar or a bottle."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import tzinfo

from station.domain.bottling import Bottle, keep_until_at
from station.domain.dilution import USUAL, for_water
from station.domain.jars import Jar
from station.domain.mix import ratio_text
from station.domain.moments import date_text, range_text
from station.domain.outlook import Outlook
from station.domain.preparations import Preparation, recipe
from station.domain.quantities import US_GAL_ML, Measures, volume_text, weight_text
from station.domain.storage import KEEPING, Keeping

WARNING = "Not for drinking"
LITRE_ML = 1000.0


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one label.

    Args:
        id: of the jar or bottle.
        title: the plant, or what it is.
        lines: facts, the most important first.
        url: the page that the QR code leads to.
        warning: set apart.
    """

    id: str
    title: str
    lines: tuple[str, ...]
    url: str
    warning: str = WARNING


def jar_label(jar: Jar, outlook: Outlook | None, url: str, zone: tzinfo, measures: Measures = Measures.METRIC) -> Label:
    """Return the label of a jar: plant, ratio, packed and expected dates, dilution.

    Args:
        jar: the jar.
        outlook: what the station expects of it, or None.
        url: its page.
        zone: of local days.
        measures: of amounts.
    """
    facts = (
        _kind_text(jar.packing.preparation, jar.plant_g),
        f"packed {date_text(jar.packed_at, zone)}",
        _expected_text(jar, outlook, zone),
        _weights_text(jar, measures),
        _dilution_text(jar.packing.preparation, measures),
    )
    return Label(jar.id, jar.plant, _held_together(facts), url)


def bottle_label(
    bottle: Bottle,
    url: str,
    zone: tzinfo,
    measures: Measures = Measures.METRIC,
    keeping: Keeping = KEEPING,
    preparation: Preparation = Preparation.FERMENT,
) -> Label:
    """Return the label of a bottle: plant, dates, volume, dilution.

    Args:
        bottle: the bottle.
        url: its page.
        zone: of local days.
        measures: of amounts.
        keeping: how long juice keeps.
        preparation: what the jar it came from held.
    """
    facts = (
        _kind_text(preparation),
        f"bottled {date_text(bottle.filled_at, zone)}",
        f"use by {date_text(keep_until_at(bottle, keeping), zone)}, kept {bottle.storage.words}",
        volume_text(bottle.volume_ml, measures) + (f", from jar {bottle.jar_id}" if bottle.jar_id else ""),
        _dilution_text(preparation, measures),
    )
    return Label(bottle.id, bottle.plant, _held_together(facts), url)


def _held_together(facts: Iterable[str]) -> tuple[str, ...]:
    """Leave out what is empty, and let no line end between a number and its unit, in a ratio or within a date."""
    return tuple(_TOGETHER.sub("\u00a0", fact) for fact in facts if fact)


_TOGETHER = re.compile(r"(?<=\d) (?=[a-zA-Z:]{1,3}\b|:)|(?<=:) |(?<=\b[A-Z][a-z]{2}) (?=\d)")


def _expected_text(jar: Jar, outlook: Outlook | None, zone: tzinfo) -> str:
    if jar.strained_at is not None:
        return f"strained {date_text(jar.strained_at, zone)}"
    if jar.due_at is not None:
        return f"due {date_text(jar.due_at, zone)}"
    if outlook is None or outlook.ready_early_at is None:
        return ""
    return f"ready {range_text(outlook.ready_early_at, None, outlook.ready_late_at, zone)}"


def _kind_text(preparation: Preparation, plant_g: float | None = 0.0) -> str:
    """What it is, where the weights do not say it: a steep and a ferment of one plant are not used alike."""
    return "" if preparation is Preparation.FERMENT and plant_g is not None else recipe(preparation).name


def _weights_text(jar: Jar, measures: Measures) -> str:
    if jar.plant_g is None:
        return ""
    if jar.sugar_g is None:
        return weight_text(jar.plant_g, measures)
    weights = f"{weight_text(jar.plant_g, measures)} + {weight_text(jar.sugar_g, measures)} sugar"
    return f"{weights} ({ratio_text(jar.plant_g / jar.sugar_g)})"


def _dilution_text(preparation: Preparation, measures: Measures) -> str:
    """The usual dilution of a ferment; other preparations have none that all agree on."""
    if preparation is not Preparation.FERMENT:
        return ""
    water_ml = US_GAL_ML if measures is Measures.US else LITRE_ML
    juice = volume_text(for_water(water_ml).juice_ml, measures)
    return f"use {USUAL}: {juice} to {volume_text(water_ml, measures)} water"
