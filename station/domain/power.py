"""How many seeds a trial needs, and what a trial of a given size can be expected to show."""

import math
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
    other = share + points if share + points <= 1.0 else share - points
    return math.ceil(seeds_needed(share, other))


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
