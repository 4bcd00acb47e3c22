"""Diluting juice with water: how much for this can, how far this juice goes, how strong this can is."""

import math
import re
from dataclasses import dataclass

from station.domain.figures import number_text
from station.domain.quantities import DROP_ML, NUMBER, Measures, both_volumes
from station.errors import QuantityError

USUAL_PARTS = 500.0
"""1 part of juice to 500 parts of water: common practice."""
STRONG_PARTS = 100.0
RATIOS_DIFFER = (
    "Ratios in use differ: common practice is 1 to 500; some teaching sheets run from about 1 to 34 to 1 to 340."
)


@dataclass(frozen=True, slots=True)
class Ratio:
    """How thin: "1 to 500" is one part of juice to 500 parts of water, "1 in 500" one part in 500 parts of the mix.

    Args:
        parts: the larger number, above 0; above 1 for `in_whole`.
        in_whole: whether it counts the whole mix ("in") and not the water alone ("to").
    """

    parts: float
    in_whole: bool = False

    def __post_init__(self) -> None:
        if not (1.0 if self.in_whole else 0.0) < self.parts < math.inf:
            raise QuantityError(
                f"a dilution of {self}", "Write parts of water to one of juice: 500, 1:500 or 1 in 500."
            )

    @property
    def water_parts(self) -> float:
        """Parts of water to one part of juice."""
        return self.parts - 1.0 if self.in_whole else self.parts

    def __str__(self) -> str:
        return f"1 {'in' if self.in_whole else 'to'} {_parts_text(self.parts)}"


USUAL = Ratio(USUAL_PARTS)


def _parts_text(parts: float) -> str:
    if parts >= 99.95 or parts == round(parts):
        return number_text(parts)
    return number_text(parts, 1 if parts > 1.0 else 2)


_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
"""A comma before three digits, as in 1,000; any other is a decimal one."""
_RATIO = re.compile(rf"(?:{NUMBER}\s*+(:|/|to|in)\s*+)?{NUMBER}")


def dilution_from(text: str) -> Ratio:
    """Return a typed dilution.

    Args:
        text: `500`, `1:500` and `1 to 500` mean one part to 500 of water; `1 in 500` one part in 500 of the mix;
            `1,000` is a thousand, `33,3` a little more than 33.

    Raises:
        QuantityError: it cannot be read, or a side is 0.
    """
    plain = _THOUSANDS.sub("", text.strip().lower()).replace(",", ".")
    match = _RATIO.fullmatch(plain)
    if match is None or (match[1] is not None and float(match[1]) <= 0.0):
        raise QuantityError(f"dilution {text!r} cannot be read", "Write 500, 1:500, '1 to 500' or '1 in 500'.")
    parts = float(match[3]) / float(match[1] or 1.0)
    if parts < 1.0:
        raise QuantityError(
            f"dilution {text!r} is more juice than water", "Write 500, 1:500, '1 to 500' or '1 in 500'."
        )
    return Ratio(parts, match[2] == "in")


@dataclass(frozen=True, slots=True)
class Dilution:
    """Juice and water that belong together, mL."""

    juice_ml: float
    water_ml: float

    @property
    def ratio(self) -> float:
        """Parts of water to one part of juice; infinite without juice."""
        return self.water_ml / self.juice_ml if self.juice_ml else math.inf

    @property
    def can_ml(self) -> float:
        """The mix as a whole, mL."""
        return self.juice_ml + self.water_ml


def for_water(water_ml: float, ratio: Ratio = USUAL) -> Dilution:
    """Return the juice for `water_ml` of water (above 0)."""
    _check(water_ml, "water")
    return Dilution(water_ml / ratio.water_parts, water_ml)


def for_juice(juice_ml: float, ratio: Ratio = USUAL) -> Dilution:
    """Return the water for `juice_ml` of juice (above 0): the inverse of `for_water`."""
    _check(juice_ml, "juice")
    return Dilution(juice_ml, juice_ml * ratio.water_parts)


def for_can(can_ml: float, ratio: Ratio = USUAL) -> Dilution:
    """Return juice and water that together fill `can_ml` (above 0)."""
    _check(can_ml, "a can")
    juice_ml = can_ml / (ratio.water_parts + 1.0)
    return Dilution(juice_ml, can_ml - juice_ml)


def thinned_to(mix: Dilution, ratio: Ratio) -> float:
    """Return how much water, mL, brings a mixed can to `ratio`; 0 when it is as thin already."""
    return max(0.0, mix.juice_ml * ratio.water_parts - mix.water_ml)


def _check(amount_ml: float, noun: str) -> None:
    if not 0.0 < amount_ml < math.inf:
        raise QuantityError(f"{amount_ml:g} mL of {noun}", "Give a volume above 0.")


@dataclass(frozen=True, slots=True)
class Cans:
    """A volume of water carried in cans: `full` of them with `each` in every one, and `last` if one is not full."""

    full: int
    each: Dilution
    last: Dilution | None


def in_cans(mix: Dilution, can_ml: float) -> Cans:
    """Return how a mix is divided over cans of `can_ml` (above 0), each with juice and water in the same ratio."""
    _check(can_ml, "a can")
    full = int(mix.can_ml / can_ml + 1e-9)
    rest = mix.can_ml / can_ml - full
    last = _part(mix, rest * can_ml / mix.can_ml) if rest > 1e-6 or not full else None
    return Cans(full, _part(mix, can_ml / mix.can_ml), last)


@dataclass(frozen=True, slots=True)
class Measured:
    """What is known of a can, mL each; None where nothing was said."""

    water_ml: float | None = None
    juice_ml: float | None = None
    can_ml: float | None = None

    @property
    def mixed_already(self) -> bool:
        """Whether juice and water are both known: then the strength is asked for, not an amount."""
        return self.water_ml is not None and self.juice_ml is not None


def diluted(known: Measured, ratio: Ratio = USUAL) -> tuple[Dilution, Cans | None] | None:
    """Return the mix that follows from what is known, and how it is carried where a can goes with another amount.

    Args:
        known: one amount; or juice and water, whose strength is then their own; or either with a can.
        ratio: how thin it is to be.

    Returns:
        None when no amount is known.

    Raises:
        QuantityError: an amount is not above 0.
    """
    mix = _from_amounts(known, ratio)
    if mix is not None:
        return mix, None if known.can_ml is None else in_cans(mix, known.can_ml)
    return None if known.can_ml is None else (for_can(known.can_ml, ratio), None)


def _from_amounts(known: Measured, ratio: Ratio) -> Dilution | None:
    if known.juice_ml is not None and known.water_ml is not None:
        return Dilution(known.juice_ml, known.water_ml)
    if known.water_ml is not None:
        return for_water(known.water_ml, ratio)
    return None if known.juice_ml is None else for_juice(known.juice_ml, ratio)


def _part(mix: Dilution, share: float) -> Dilution:
    return Dilution(mix.juice_ml * share, mix.water_ml * share)


def drops(amount_ml: float) -> int:
    """Return how many drops `amount_ml` is, at least one: 20 to the mL (common practice; droppers differ)."""
    return max(1, round(amount_ml / DROP_ML))


DROPS_BELOW_ML = 1.0
"""Less than this is counted in drops: no kitchen spoon measures it."""


def juice_text(juice_ml: float, measures: Measures = Measures.METRIC) -> str:
    """Return an amount of juice as people measure it: in both systems, and in drops where no spoon serves."""
    if juice_ml < 0.5 * DROP_ML:
        return "less than a drop: mix more at once"
    amount = both_volumes(juice_ml, measures)
    if juice_ml >= DROPS_BELOW_ML:
        return amount
    number = drops(juice_ml)
    return f"{amount}: about {number} drop{'' if number == 1 else 's'}"


def mixture_text(mix: Dilution, measures: Measures = Measures.METRIC) -> str:
    """Return a mix with its strength: "10 mL (2.03 tsp) juice in 5 L (1.32 gal) water (1 to 500)"."""
    strength = str(Ratio(mix.ratio)) if mix.water_ml else "undiluted"
    juice, water = both_volumes(mix.juice_ml, measures), both_volumes(mix.water_ml, measures)
    return f"{juice} juice in {water} water ({strength})"


def strength_note(ratio: float) -> str:
    """Return a caution when a mix is much stronger than usual, else ""."""
    if ratio >= STRONG_PARTS:
        return ""
    return f"1 to {_parts_text(ratio)} is strong: it can scorch leaves and roots. Usual is 1 to {USUAL_PARTS:.0f}."
