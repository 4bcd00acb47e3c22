"""Numbers as people read them, with their units."""

import math
from typing import Literal, TypeAlias

from station.domain.air import fahrenheit

TempUnit: TypeAlias = Literal["C", "F"]


def number_text(value: float, decimals: int = 0) -> str:
    """Return a number with a true minus sign and commas between thousands; never "-0"."""
    text = f"{abs(value):,.{decimals}f}"
    return f"−{text}" if value < 0 and any(digit in "123456789" for digit in text) else text


def counted(number: float, noun: str, nouns: str = "") -> str:
    """Return how many there are: "1 day", "1.5 days", "1,234 readings".

    Args:
        number: how many.
        noun, nouns: what one is called, and several; by default with an s.
    """
    text = f"{number:,}" if isinstance(number, int) else f"{number:g}"
    return f"{text} {noun if number == 1 else nouns or noun + 's'}"


def temp_in(temp_c: float, unit: TempUnit) -> float:
    """Return a temperature in the unit that people read, from °C."""
    return temp_c if unit == "C" else fahrenheit(temp_c)


def temp_text(temp_c: float, unit: TempUnit = "C") -> str:
    """Return a temperature as people read it: "20.4 °C" or "68.7 °F"."""
    return f"{number_text(temp_in(temp_c, unit), 1)} °{unit}"


def span_text(low_c: float, high_c: float, unit: TempUnit = "C") -> str:
    """Return a range of temperatures as people read it: "18.3 to 23.9 °C"."""
    return f"{number_text(temp_in(low_c, unit), 1)} to {temp_text(high_c, unit)}"


def rh_text(rh_pct: float) -> str:
    """Return a relative humidity as people read it: "55 %"."""
    return f"{number_text(rh_pct)} %"


def share_text(share: float) -> str:
    """Return a share of 0 to 1 as people read it: "55 %"."""
    return f"{number_text(100.0 * share)} %"


def light_text(light_lx: float) -> str:
    """Return an illuminance to three digits at most, no finer than 0.1: "18,400 lx", "0.4 lx"."""
    if light_lx < 10.0:
        return f"{light_lx:.1f} lx".replace(".0 ", " ")
    step = 10.0 ** max(math.floor(math.log10(light_lx)) - 2, 0)
    return f"{number_text(round(light_lx / step) * step)} lx"
