"""Amounts from fields whose label names the unit: there a bare number is meant in it; any other unit may be typed."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from station.domain.quantities import Measures, volume_ml, weight_g


@dataclass(frozen=True, slots=True)
class Units:
    """The units that labels name.

    Args:
        weight: of plant and sugar.
        volume: of juice, bottles and jars.
        can: of cans and water.
    """

    weight: str
    volume: str
    can: str


UNITS = {Measures.METRIC: Units("g", "mL", "L"), Measures.US: Units("oz", "fl oz", "gal")}
_BARE = re.compile(r"[\d\s.,/½¼¾⅓⅔]+")


def weight_in(measures: Measures) -> Callable[[str], float]:
    """Return what reads a weight in grams from a field labelled g or oz."""
    return lambda text: weight_g(_with_unit(text, UNITS[measures].weight))


def volume_in(measures: Measures) -> Callable[[str], float]:
    """Return what reads a volume in mL from a field labelled mL or fl oz."""
    return lambda text: volume_ml(_with_unit(text, UNITS[measures].volume))


def can_in(measures: Measures) -> Callable[[str], float]:
    """Return what reads a volume in mL from a field labelled L or gal."""
    return lambda text: volume_ml(_with_unit(text, UNITS[measures].can))


def _with_unit(text: str, unit: str) -> str:
    return f"{text.strip()} {unit}" if _BARE.fullmatch(text.strip()) else text
