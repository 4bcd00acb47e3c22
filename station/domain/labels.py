"""Labels: what stands on a jar or a bottle, and where on a printed sheet it goes."""

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
from station.errors import JarsideError

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


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of labels, all measures in mm.

    Args:
        name: what people call it.
        width_mm, height_mm: the paper.
        label_w_mm, label_h_mm: one label.
        left_mm, top_mm: margins to the first label.
        gap_x_mm, gap_y_mm: between labels.

    Raises:
        JarsideError: a label is too small to read, or none fits on the paper.
    """

    name: str
    width_mm: float
    height_mm: float
    label_w_mm: float
    label_h_mm: float
    left_mm: float
    top_mm: float
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0

    def __post_init__(self) -> None:
        check_size(self.label_w_mm, self.label_h_mm)
        if not all(0.0 <= gap <= 100.0 for gap in (self.left_mm, self.top_mm, self.gap_x_mm, self.gap_y_mm)):
            raise JarsideError(f"margins or gaps of sheet {self.name}", "Give 0 to 100 mm.")
        if self.columns < 1 or self.rows < 1:
            raise JarsideError(
                f"labels of {self.label_w_mm:g} × {self.label_h_mm:g} mm do not fit on {self.name}",
                f"The paper is {self.width_mm:g} × {self.height_mm:g} mm; give a smaller size or margin.",
            )

    @property
    def columns(self) -> int:
        """How many labels stand side by side."""
        return _fitting(self.width_mm - self.left_mm, self.label_w_mm, self.gap_x_mm)

    @property
    def rows(self) -> int:
        """How many labels stand one below the other."""
        return _fitting(self.height_mm - self.top_mm, self.label_h_mm, self.gap_y_mm)

    @property
    def places(self) -> int:
        """How many labels a sheet holds."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Return the upper left corner of a place, counted from 0 along the rows."""
        row, column = divmod(place, self.columns)
        x_mm = self.left_mm + column * (self.label_w_mm + self.gap_x_mm)
        return x_mm, self.top_mm + row * (self.label_h_mm + self.gap_y_mm)


LEAST_W_MM, LEAST_H_MM = 40.0, 20.0
MOST_MM = 300.0


def check_size(width_mm: float, height_mm: float) -> None:
    """Refuse a label that cannot be read or printed.

    Raises:
        JarsideError: it is smaller than 40 × 20 mm or larger than 300 mm.
    """
    if not (LEAST_W_MM <= width_mm <= MOST_MM and LEAST_H_MM <= height_mm <= MOST_MM):
        raise JarsideError(
            f"a label of {width_mm:g} × {height_mm:g} mm",
            f"Give at least {LEAST_W_MM:g} × {LEAST_H_MM:g} mm, so that it can be read, and at most {MOST_MM:g} mm.",
        )


def _fitting(room_mm: float, each_mm: float, gap_mm: float) -> int:
    return int((room_mm + gap_mm + 1e-6) // (each_mm + gap_mm))


def paper(
    name: str,
    label_mm: tuple[float, float] | None = None,
    margin_mm: tuple[float, float] | None = None,
    gap_mm: tuple[float, float] = (0.0, 0.0),
) -> Sheet:
    """Return a sheet of A4 or US Letter paper with labels of a size.

    Args:
        name: `a4` (ISO 216, 210 × 297 mm) or `letter` (8.5 × 11 in).
        label_mm: width and height of a label; the default fills the paper with three columns.
        margin_mm: left and top; the default centres the labels.
        gap_mm: between the columns and between the rows.

    Raises:
        JarsideError: the paper is unknown, or the labels do not fit.
    """
    if name not in _PAPERS:
        raise JarsideError(f"paper {name!r} is not known", f"Give one of {', '.join(_PAPERS)}.")
    width_mm, height_mm, usual_mm = _PAPERS[name]
    label_w_mm, label_h_mm = label_mm or usual_mm
    if margin_mm is None:
        margin_mm = (_centred(width_mm, label_w_mm, gap_mm[0]), _centred(height_mm, label_h_mm, gap_mm[1]))
    return Sheet(name, width_mm, height_mm, label_w_mm, label_h_mm, *margin_mm, *gap_mm)


_PAPERS = {"a4": (210.0, 297.0, (64.0, 36.0)), "letter": (215.9, 279.4, (66.0, 38.0))}
PAPERS = tuple(_PAPERS)
EDGE_MM = 5.0
"""What most printers cannot print on."""


def _centred(room_mm: float, each_mm: float, gap_mm: float) -> float:
    if not each_mm > 0.0 or not gap_mm >= 0.0:
        return EDGE_MM
    number = max(1, _fitting(room_mm - 2 * EDGE_MM, each_mm, gap_mm))
    return max(0.0, (room_mm - number * each_mm - (number - 1) * gap_mm) / 2.0)


def laid_out(count: int, sheet: Sheet, first: int = 1) -> tuple[tuple[int, int], ...]:
    """Return where labels go: for each its page and its place on it, both counted from 0.

    Args:
        count: how many labels, 0 or more.
        sheet: the sheet.
        first: the first free place of the first page, counted from 1 along the rows.

    Raises:
        JarsideError: the sheet has no such place.
    """
    if not 1 <= first <= sheet.places:
        raise JarsideError(f"place {first} on a sheet with {sheet.places} labels", f"Give 1 to {sheet.places}.")
    return tuple(divmod(first - 1 + number, sheet.places) for number in range(count))
