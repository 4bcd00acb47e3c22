"""Saturated salts: a damp salt in a sealed bag keeps the air above it at a known humidity."""

from bisect import bisect_right
from enum import StrEnum

from station.errors import JarsideError


class Salt(StrEnum):
    """A salt that a kitchen or a chemist's shop has."""

    LITHIUM_CHLORIDE = "lithium-chloride"
    MAGNESIUM_CHLORIDE = "magnesium-chloride"
    SODIUM_CHLORIDE = "sodium-chloride"
    POTASSIUM_CHLORIDE = "potassium-chloride"


TABLE_C = (15.0, 20.0, 25.0, 30.0)
TABLE_PCT = {
    Salt.LITHIUM_CHLORIDE: (11.31, 11.31, 11.30, 11.29),
    Salt.MAGNESIUM_CHLORIDE: (33.30, 33.07, 32.79, 32.45),
    Salt.SODIUM_CHLORIDE: (75.61, 75.48, 75.30, 75.09),
    Salt.POTASSIUM_CHLORIDE: (85.92, 85.11, 84.35, 83.63),
}
"""%RH over the saturated solution at each of TABLE_C: Greenspan 1977, J. Res. Natl. Bur. Stand. 81A, 89. Good to some
0.5 %RH."""


def salt_rh_pct(salt: Salt, temp_c: float) -> float:
    """Relative humidity over a saturated solution of a salt.

    Args:
        salt: which one.
        temp_c: temperature of salt and air in °C, 15 to 30.

    Returns:
        Relative humidity in %, linear between the points of the table.

    Raises:
        JarsideError: the temperature is outside the table.

    Source: Greenspan 1977, J. Res. Natl. Bur. Stand. 81A, 89.
    """
    # Written so that nan fails too.
    if not TABLE_C[0] <= temp_c <= TABLE_C[-1]:
        raise JarsideError(
            f"{salt} at {temp_c} °C", f"Leave the bag in a room of {TABLE_C[0]:g} to {TABLE_C[-1]:g} °C and try again."
        )
    right = min(bisect_right(TABLE_C, temp_c), len(TABLE_C) - 1)
    left_pct, right_pct = TABLE_PCT[salt][right - 1 : right + 1]
    part = (temp_c - TABLE_C[right - 1]) / (TABLE_C[right] - TABLE_C[right - 1])
    return left_pct + part * (right_pct - left_pct)
