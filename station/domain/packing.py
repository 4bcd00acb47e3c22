"""Packing a jar: how it was done, the checklist, and what is worth a warning."""

import enum
import math
from dataclasses import dataclass

from station.domain.preparations import Preparation, recipe
from station.domain.quantities import both_volumes, both_weights


class Vessel(enum.StrEnum):
    """What the jar is made of."""

    GLASS = "glass"
    CERAMIC = "ceramic"
    PLASTIC = "plastic"
    METAL = "metal"


class Cover(enum.StrEnum):
    """What closes the jar."""

    CLOTH = "cloth"
    PAPER = "paper"
    LOOSE_LID = "loose lid"
    TIGHT_LID = "tight lid"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Share:
    """One plant of a blend, with its weight in grams."""

    plant: str
    plant_g: float


@dataclass(frozen=True, slots=True)
class Packing:
    """How a jar was packed, beside its plant and weights. What was not written down is None or "".

    Args:
        preparation: what kind of thing it is.
        days: how long it is to stand, for a preparation that goes by days.
        blend: the plants of a blend, by weight; empty for a single plant.
        cap_g: sugar laid on top, grams, part of the jar's sugar.
        picked_where: where the plants were picked.
        vessel, cover: what the jar and its cover are.
        stone_boiled: whether the weight stone was boiled.
        photos: paths of photos.
    """

    preparation: Preparation = Preparation.FERMENT
    days: float | None = None
    blend: tuple[Share, ...] = ()
    cap_g: float | None = None
    picked_where: str = ""
    vessel: Vessel = Vessel.GLASS
    cover: Cover = Cover.CLOTH
    stone_boiled: bool | None = None
    photos: tuple[str, ...] = ()

    @property
    def stand_days(self) -> float | None:
        """How many days it is to stand, or None when it goes by warmth."""
        return self.days if self.days is not None else recipe(self.preparation).days


PLAINLY = Packing()
"""A jar of which nothing was written down beside its plant and weights."""

_FERMENT_STEPS = (
    "Picked in the dew, before the sun is on the leaves; not after rain.",
    "Plant unwashed: shaken clean of soil and insects, sprayed or sick leaves left out.",
    "Plant and sugar weighed, sugar for the cap put aside.",
    "Layered or mixed and pressed down; a third of the jar left empty.",
    "Sugar cap: the top closed with the sugar put aside.",
    "Weight stone boiled 5 to 10 minutes, cooled, laid on top.",
    "Cloth or paper tied over it; never a tight lid, never a metal jar.",
    "Label on: plant, weights, date.",
)
_PLAIN_STEPS = {
    Preparation.VINEGAR: (
        "Shells or plant clean and dry; shells roasted or washed free of skin.",
        "Vinegar poured over slowly: it foams. A third of the jar left empty.",
        "Cloth or loose lid on; never a tight lid, never a metal jar.",
        "Label on: what it is, date.",
    ),
    Preparation.STEEP: (
        "Plant shaken clean, cut up, pushed under water; a third of the vessel left empty.",
        "Loose cover on, out of reach of children, animals and flies.",
        "Label on: plant, date.",
    ),
}


def checklist(preparation: Preparation) -> tuple[str, ...]:
    """Return what to see to while packing, in order (common practice; tips before sunrise, unrinsed: CTAHR SA-7)."""
    return _PLAIN_STEPS.get(preparation, _FERMENT_STEPS)


FULL_G_PER_L = 140.0
"""Plant per litre of jar above which a jar is over-filled: 125 g fills two thirds, so 140 g three quarters."""
WHOLE_G_PER_L = 187.5
"""Plant that fills a litre to the brim, by the same measure."""
LEAST_RATIO = 1.0 / 3.0
MOST_RATIO = 5.0 / 3.0
"""Plant to sugar by weight, 1 : 3 to 5 : 3: outside it somebody probably slipped."""


def jars_holding(plant_g: float, jar_ml: float) -> int:
    """Return how many jars of `jar_ml` (above 0) hold `plant_g` of plant, none more than three quarters full.

    Natural-farming teaching texts fill a jar two thirds to three quarters: nobody takes a second jar for a few leaves.
    """
    return max(1, math.ceil(plant_g / (FULL_G_PER_L * jar_ml / 1000.0) - 1e-9))


def packing_warnings(
    packing: Packing, jar_ml: float, plant_g: float | None, sugar_g: float | None, jars: int = 1
) -> tuple[str, ...]:
    """Return what should be put right about a packing, as sentences; empty when nothing is.

    Args:
        packing: how it was packed.
        jar_ml: the jar's volume in mL, above 0.
        plant_g, sugar_g: weights in grams, None when not weighed.
        jars: how many alike were packed with as much each.
    """
    found = (
        _vessel_warning(packing),
        cover_warning(packing),
        _fill_warning(packing, jar_ml, plant_g, jars),
        _ratio_warning(packing, plant_g, sugar_g),
        _stone_warning(packing),
    )
    return tuple(text for text in found if text)


def _vessel_warning(packing: Packing) -> str:
    if packing.vessel is not Vessel.METAL:
        return ""
    return "Metal vessel: the acid attacks metal. Use clear glass."


def cover_warning(packing: Packing) -> str:
    """Return what is wrong with what closes a jar, as a sentence, or ""."""
    gas = recipe(packing.preparation).gas
    if packing.cover is Cover.TIGHT_LID:
        return f"Tight lid: {gas}, and a closed jar can burst. Tie a cloth over it or loosen the lid now."
    if packing.cover is Cover.NONE:
        return "No cover: flies and dust get in. Tie a cloth over it."
    return ""


def _fill_warning(packing: Packing, jar_ml: float, plant_g: float | None, jars: int) -> str:
    if packing.preparation is not Preparation.FERMENT or plant_g is None:
        return ""
    if plant_g <= FULL_G_PER_L * jar_ml / 1000.0:
        return ""
    if plant_g > WHOLE_G_PER_L * jar_ml / 1000.0:
        leaves = "is more than it holds"
    else:
        leaves = "leaves less than a quarter of it empty, and it may run over"
    return (
        f"Over-filled: {both_weights(plant_g)} of plant in a jar of {both_volumes(jar_ml)} {leaves}. "
        f"Take {jars_holding(jars * plant_g, jar_ml)} such jars or a larger one."
    )


def _ratio_warning(packing: Packing, plant_g: float | None, sugar_g: float | None) -> str:
    if not recipe(packing.preparation).sugared or plant_g is None or sugar_g is None:
        return ""
    return ratio_warning(plant_g / sugar_g if sugar_g else float("inf"))


def ratio_warning(ratio: float) -> str:
    """Return a caution when a ratio of plant to sugar by weight lies outside 1 : 3 to 5 : 3, else ""."""
    if ratio > MOST_RATIO * (1 + 1e-9):
        return "Little sugar: more than 5 parts of plant to 3 of sugar. It may rot instead of fermenting; add sugar."
    if ratio < LEAST_RATIO * (1 - 1e-9):
        return "Much sugar: less than 1 part of plant to 3 of sugar. Check the weights; little may happen in it."
    return ""


def _stone_warning(packing: Packing) -> str:
    if packing.stone_boiled is not False:
        return ""
    return "Weight stone not boiled: boil it 5 to 10 minutes, so that it brings no mould."
