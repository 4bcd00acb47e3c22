"""Weights and volumes as people type and read them: with their unit, in metric or US measures.

US measures are meant unless `imp` is written. A bare number is refused, because nobody can tell what it means.
"""

import enum
import math
import re
from dataclasses import dataclass

from station.domain.figures import number_text
from station.errors import QuantityError


class Measures(enum.StrEnum):
    """The system in which amounts are shown."""

    METRIC = "metric"
    US = "us"


OZ_G = 28.349523125
"""Avoirdupois ounce, exactly: a sixteenth of 0.45359237 kg (international pound, 1959)."""
LB_G = 16 * OZ_G
US_GAL_ML = 3785.411784
"""US gallon, exactly: 231 cubic inches."""
IMP_GAL_ML = 4546.09
"""Imperial gallon, exactly (UK Units of Measurement Regulations 1995)."""
DROP_ML = 0.05
"""Twenty drops to the millilitre: common practice."""

_WEIGHTS_G = {"mg": 0.001, "g": 1.0, "kg": 1000.0, "oz": OZ_G, "lb": LB_G}
_VOLUMES_ML = {
    "drop": DROP_ML,
    "ml": 1.0,
    "cl": 10.0,
    "dl": 100.0,
    "l": 1000.0,
    "tsp": US_GAL_ML / 768,
    "tbsp": US_GAL_ML / 256,
    "fl oz": US_GAL_ML / 128,
    "cup": US_GAL_ML / 16,
    "pt": US_GAL_ML / 8,
    "qt": US_GAL_ML / 4,
    "gal": US_GAL_ML,
}
_IMPERIAL_ML = {"fl oz": IMP_GAL_ML / 160, "pt": IMP_GAL_ML / 8, "qt": IMP_GAL_ML / 4, "gal": IMP_GAL_ML}
_SPELLINGS = {
    "gram": "g",
    "gramme": "g",
    "kilo": "kg",
    "kilogram": "kg",
    "ounce": "oz",
    "pound": "lb",
    "lbs": "lb",
    "litre": "l",
    "liter": "l",
    "millilitre": "ml",
    "milliliter": "ml",
    "teaspoon": "tsp",
    "tablespoon": "tbsp",
    "floz": "fl oz",
    "fl ounce": "fl oz",
    "fluid ounce": "fl oz",
    "pint": "pt",
    "quart": "qt",
    "gallon": "gal",
}
_WEIGHT_CHOICES = "Write a weight with its unit: 125g, 1.2kg, 4.5oz or 1lb."
_VOLUME_CHOICES = "Write a volume with its unit: 20mL, 10L, 2tbsp, 0.5cup, 1 fl oz, 2qt or 5gal; 'imp' for imperial."

NUMBER = r"(\d++(?:\.\d++)?|\.\d++)"
"""A typed number, as patterns hold it. What is read is not gone back on (`++`): else a field of many thousand digits
would hold the whole program for hours."""
_PART = re.compile(
    r"\s*+(\d++\s++\d++/\d++|\d++/\d++|\d++\.?\d*+|\.\d++)\s*+(imp)?\s*+([a-zµ]+(?:\s(?:oz|ounces?))?)\.?\s*+"
    r"(imp\b)?\s*+,?"
)


@dataclass(frozen=True, slots=True)
class _Amount:
    """One number with its unit, in grams or millilitres; the other is None."""

    mass_g: float | None = None
    volume_ml: float | None = None


def weight_g(text: str) -> float:
    """Return a typed weight in grams.

    Args:
        text: such as `125g`, `4.5oz`, `1 lb 4 oz`.

    Raises:
        QuantityError: no unit, an unknown unit, a volume, or not above 0.
    """
    found = [one.mass_g for one in _amounts(text, "weight", _WEIGHT_CHOICES)]
    known = [one for one in found if one is not None]
    if len(known) < len(found):
        raise QuantityError(f"{text!r} is a volume, and a weight is wanted", _WEIGHT_CHOICES)
    return _sensible(sum(known), text, "weight", _WEIGHT_CHOICES)


def volume_ml(text: str) -> float:
    """Return a typed volume in millilitres.

    Args:
        text: such as `20mL`, `1L`, `2qt`, `0.5cup`, `1 fl oz`, `1 imp gal`.

    Raises:
        QuantityError: no unit, an unknown unit, a weight, or not above 0.
    """
    found = [one.volume_ml for one in _amounts(text, "volume", _VOLUME_CHOICES)]
    known = [one for one in found if one is not None]
    if len(known) < len(found):
        ounces = " For fluid ounces write fl oz." if "oz" in text.lower() else ""
        raise QuantityError(f"{text!r} is a weight, and a volume is wanted", _VOLUME_CHOICES + ounces)
    return _sensible(sum(known), text, "volume", _VOLUME_CHOICES)


def _sensible(amount: float, text: str, noun: str, choices: str) -> float:
    if amount <= 0.0 or not math.isfinite(amount):
        raise QuantityError(f"{text!r} is not a {noun} above 0", choices)
    if amount > 1e9:
        raise QuantityError(f"{text!r} is more than a garden can hold", choices)
    return amount


_FRACTIONS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3"}
_THOUSANDS = re.compile(r"(?<!\d)[1-9]\d*+[,']\d{3}(?!\d)")


def _amounts(text: str, noun: str, choices: str) -> list[_Amount]:
    """Return the numbers and units of a typed amount; several add up, as in `1 lb 4 oz`."""
    plain = text.strip().lower()
    for sign, words in _FRACTIONS.items():
        plain = plain.replace(sign, words)
    _check_number(plain, text, noun, choices)
    plain = re.sub(r"(\d),(\d)", r"\1.\2", plain)
    found, end = [], 0
    while part := _PART.match(plain, end):
        found.append(_amount(part, text, choices))
        end = part.end()
    if not found or end != len(plain):
        raise QuantityError(f"{text!r} is not a {noun} that can be read", choices)
    return found


def _check_number(plain: str, text: str, noun: str, choices: str) -> None:
    """Refuse what could be read in two ways, or has no unit."""
    if plain.startswith(("-", "−")):
        raise QuantityError(f"{text!r} is negative", f"A {noun} is above 0. {choices}")
    if _THOUSANDS.search(plain):
        raise QuantityError(
            f"{text!r} could mean two numbers", f"Write decimals with a point, and thousands without a comma. {choices}"
        )
    if re.fullmatch(r"[\d.,/\s]+", plain):
        raise QuantityError(f"{text!r} has no unit", choices)


def _amount(part: re.Match[str], text: str, choices: str) -> _Amount:
    unit, imperial = _unit(part[3]), bool(part[2] or part[4])
    number = _number(part[1])
    if imperial:
        if unit not in _IMPERIAL_ML:
            raise QuantityError(f"{text!r}: imp is known for fl oz, pt, qt and gal only", choices)
        return _Amount(volume_ml=number * _IMPERIAL_ML[unit])
    if unit in _WEIGHTS_G:
        return _Amount(mass_g=number * _WEIGHTS_G[unit])
    if unit in _VOLUMES_ML:
        return _Amount(volume_ml=number * _VOLUMES_ML[unit])
    raise QuantityError(f"{text!r}: {part[3]} is not a unit known here", choices)


def _unit(word: str) -> str:
    known = _WEIGHTS_G.keys() | _VOLUMES_ML.keys()
    for spelling in (word, word.removesuffix("s")):
        unit = _SPELLINGS.get(spelling, spelling)
        if unit in known:
            return unit
    return word


def _number(text: str) -> float:
    whole = 0.0
    for piece in text.split():
        above, _, below = piece.partition("/")
        whole += float(above) / float(below) if below and float(below) else float(above) if not below else math.nan
    return whole


def weight_text(mass_g: float, measures: Measures = Measures.METRIC) -> str:
    """Return a weight as people read it: "83 g", "1.25 kg", "2.9 oz", "1 lb 4 oz".

    Args:
        mass_g: grams, 0 or more.
        measures: the system.
    """
    if measures is Measures.METRIC:
        return f"{_short(mass_g / 1000, 2)} kg" if mass_g >= 999.5 else f"{_short(mass_g, 0 if mass_g >= 10 else 1)} g"
    ounces = mass_g / OZ_G
    if round(ounces, 1) < 16:
        return f"{_short(ounces, 1 if round(ounces, 1) >= 1 else 2)} oz"
    pounds, ounces = divmod(_whole_ounces(ounces), 16)
    return f"{pounds:.0f} lb {_short(ounces, 1)} oz" if round(ounces, 1) else f"{pounds:.0f} lb"


def _whole_ounces(ounces: float) -> float:
    """Return ounces to three digits; a thousand and more as so many pounds."""
    if ounces >= 999.5:
        return 16.0 * round(ounces / 16.0)
    return round(ounces, 1 if ounces < 99.95 else 0)


_US_STEPS = (
    (US_GAL_ML, "gal"),
    (US_GAL_ML / 4, "qt"),
    (US_GAL_ML / 64, "fl oz"),  # from 2 fl oz up, below that spoons
    (US_GAL_ML / 256, "tbsp"),
)


def volume_text(amount_ml: float, measures: Measures = Measures.METRIC) -> str:
    """Return a volume as people read it: "0.24 mL", "20 mL", "10 L", "2.5 tbsp", "125 gal".

    Args:
        amount_ml: millilitres, 0 or more.
        measures: the system.
    """
    if measures is Measures.METRIC:
        if amount_ml >= 999.5:
            return f"{_short(amount_ml / 1000, 2)} L"
        return f"{_short(amount_ml, 0 if amount_ml >= 99.5 else 1 if amount_ml >= 2 else 2)} mL"
    unit = next((name for least_ml, name in _US_STEPS if amount_ml >= least_ml * 0.9995), "tsp")
    return f"{_short(amount_ml / _VOLUMES_ML[unit], 2)} {unit}"


def both_weights(mass_g: float, measures: Measures = Measures.METRIC) -> str:
    """Return a weight in the user's system with the other behind it: "83 g (2.9 oz)"."""
    return f"{weight_text(mass_g, measures)} ({weight_text(mass_g, _other(measures))})"


SPOONS_BELOW_ML = 100.0
"""Less than this is measured with spoons."""


def both_volumes(amount_ml: float, measures: Measures = Measures.METRIC) -> str:
    """Return a volume in the user's system with the other behind it: "20 mL (1.35 tbsp)".

    What follows from a can holds digits that nobody can measure. So spoons say what the millilitres before them say:
    10.04 mL are "10 mL (2.03 tsp)", as 10 mL are.
    """
    text = volume_text(amount_ml, measures)
    by_spoon = measures is Measures.METRIC and 1.0 <= amount_ml < SPOONS_BELOW_ML
    return f"{text} ({volume_text(volume_ml(text) if by_spoon else amount_ml, _other(measures))})"


def _other(measures: Measures) -> Measures:
    return Measures.US if measures is Measures.METRIC else Measures.METRIC


DIGITS = 3
"""As many as a kitchen scale and a measuring jug can bear out: a fourth digit would be invented."""


def _short(number: float, decimals: int) -> str:
    """Return a number with no more decimals than three digits leave room for; whole numbers stay whole."""
    before = len(str(int(number)))
    text = number_text(number, min(decimals, max(0, DIGITS - before)))
    return text.rstrip("0").rstrip(".") if "." in text else text
