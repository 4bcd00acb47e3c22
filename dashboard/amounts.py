"""Amounts from fields whose label names the unit: there a bare number is meant in it; any other unit may be typed."""

import re
from collections.abc import Callable

from station.domain.quantities import Measures, volume_ml, weight_g

WEIGHT_UNIT = {Measures.METRIC: "g", Measures.US: "oz"}
VOLUME_UNIT = {Measures.METRIC: "mL", Measures.US: "fl oz"}
_BARE = re.compile(r"[\d\s.,/½¼¾⅓⅔]+")


def weight_in(measures: Measures) -> Callable[[str], float]:
    """Return what reads a weight in grams from a field labelled g or oz."""
    return lambda text: weight_g(_with_unit(text, WEIGHT_UNIT[measures]))


def volume_in(measures: Measures) -> Callable[[str], float]:
    """Return what reads a volume in mL from a field labelled mL or fl oz."""
    return lambda text: volume_ml(_with_unit(text, VOLUME_UNIT[measures]))


def _with_unit(text: str, unit: str) -> str:
    return f"{text.strip()} {unit}" if _BARE.fullmatch(text.strip()) else text
