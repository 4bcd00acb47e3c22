"""Numbers from fields, as people type them."""

import math
from collections.abc import Callable

from station.errors import QuantityError

LONGEST = 9
"""No count has more digits; Python itself refuses to read thousands of them."""


def figure_from(text: str) -> float:
    """Return a typed number: a comma is a point, and a true minus sign a minus; not a number where it cannot be read.

    Such a one lies in no range, so that whoever asks has one refusal for all that cannot be meant.
    """
    try:
        return float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        return math.nan


def count_up_to(most: int) -> Callable[[str], int]:
    """Return what reads a whole number from 1 to `most`."""

    def read(text: str) -> int:
        if not text.isdecimal() or len(text) > LONGEST or not 1 <= int(text) <= most:
            raise QuantityError(f"{text[:20]!r} is not a number from 1 to {most}", "Give a whole number.")
        return int(text)

    return read
