"""How many seeds a trial needs, and what a trial of a given size can be expected to show."""

import math
from dataclasses import dataclass
from statistics import NormalDist

from station.domain.exact import binomial, fisher_two_sided
from station.errors import NotebookError

ALPHA = 0.05
POWER = 0.8
POINTS = 0.20
"""The difference a grower would want to see: 20 points of a hundred."""


def seeds_needed(first: float, second: float, alpha: float = ALPHA, power: float = POWER) -> float:
    """Return how many seeds each arm needs to see two shares as different.

    Args:
        first, second: germination shares, 0 to 1, not equal.
        alpha: how often a difference may be seen where there is none, two-sided, 0 to 1.
        power: how often a true difference should be seen, 0 to 1.

    Returns:
        The number, not rounded.

    Raises:
        NotebookError: the shares are equal or outside 0 to 1.

    Source: the normal approximation with pooled variance under no difference (Fleiss, Levin & Paik 2003).
    """
    if not (0.0 <= first <= 1.0 and 0.0 <= second <= 1.0) or first == second:
        raise NotebookError(f"shares {first:.0%} and {second:.0%}", "Give two different shares from 0 to 100 %.")
    pooled = (first + second) / 2.0
    none = math.sqrt(2.0 * pooled * (1.0 - pooled))
    some = math.sqrt(first * (1.0 - first) + second * (1.0 - second))
    normal = NormalDist()
    reach = normal.inv_cdf(1.0 - alpha / 2.0) * none + normal.inv_cdf(power) * some
    return (reach / (first - second)) ** 2


def seeds_to_see(share: float, points: float = POINTS) -> int:
    """Return how many seeds each arm needs to see a difference of `points` from `share`, away from the nearer end.

    Args:
        share: what the plain seeds do, 0 to 1.
        points: the difference, above 0, at most 0.5.
    """
    return plan_for(share, points).needed


@dataclass(frozen=True, slots=True)
class Plan:
    """How many seeds each arm needs to tell two shares apart, four times in five.

    Args:
        first, second: what plain seeds do, and the share to be told from it, 0 to 1.
        exact: seeds, not rounded.
    """

    first: float
    second: float
    exact: float

    @property
    def needed(self) -> int:
        """Whole seeds."""
        return math.ceil(self.exact)

    def __str__(self) -> str:
        return (
            f"To tell {self.first * 100:.0f} % from {self.second * 100:.0f} %, "
            f"sow about {self.needed} seeds of each kind, in several dishes."
        )


def plan_for(share: float, points: float = POINTS) -> Plan:
    """Return the plan for seeing a difference of `points` from `share`, away from the nearer end.

    Args:
        share: what the plain seeds do, 0 to 1.
        points: the difference, above 0, at most 0.5.

    Raises:
        NotebookError: one is outside its range.
    """
    if not 0.0 <= share <= 1.0 or not 0.0 < points <= 0.5:
        raise NotebookError(
            f"{share * 100:g} % and {points * 100:g} points", "Give a share of 0 to 100 % and 1 to 50 points."
        )
    other = share + points if share + points <= 1.0 else share - points
    return Plan(share, other, seeds_needed(share, other))


def percent_from(text: str) -> float:
    """Return a typed percentage, such as `65%` or `65`, as 0.65.

    Raises:
        NotebookError: it is not a number.
    """
    try:
        return float(text.strip().removesuffix("%")) / 100.0
    except ValueError:
        raise NotebookError(f"{text!r} is not a number of percent", "Write 65% or 65.") from None


def fisher_power(first: float, second: float, sown: int, alpha: float = ALPHA) -> float:
    """Return how often Fisher's two-sided test would see a difference with `sown` seeds in each arm, 0 to 1.

    Args:
        first, second: the true shares, above 0 and below 1.
        sown: seeds in each arm, 1 to about 60: every table is tried.
        alpha: as for `seeds_needed`.
    """
    counts = range(sown + 1)
    return sum(
        binomial(a, sown, first) * binomial(b, sown, second)
        for a in counts
        for b in counts
        if fisher_two_sided(a, sown, b, sown) <= alpha
    )
