"""Shares of a count, such as germinated of sown, and what range they leave open."""

import math
from dataclasses import dataclass
from statistics import NormalDist

from station.errors import NotebookError

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Span:
    """A value with its range."""

    value: float
    low: float
    high: float


def z_of(confidence: float = CONFIDENCE) -> float:
    """Return the two-sided normal quantile of a confidence, 0 to 1: 1.96 for 0.95."""
    return NormalDist().inv_cdf(0.5 + confidence / 2.0)


def check_count(count: float, total: float) -> None:
    """Refuse a count that cannot be.

    Raises:
        NotebookError: nothing was sown, or the count is negative or more than all.
    """
    if total <= 0:
        raise NotebookError(f"{total:g} seeds sown", "Sow at least one.")
    if not 0 <= count <= total:
        raise NotebookError(f"{count:g} germinated of {total:g} sown", f"Give 0 to {total:g}.")


def wilson(count: float, total: float, confidence: float = CONFIDENCE) -> Span:
    """Return a share with its Wilson score range, each 0 to 1.

    Args:
        count: how many, 0 to `total`; need not be whole, for a count shrunk by its clusters.
        total: of how many, above 0.
        confidence: 0 to 1.

    Raises:
        NotebookError: the counts cannot be.

    Source: Wilson 1927, without continuity correction.
    """
    check_count(count, total)
    share, z2 = count / total, z_of(confidence) ** 2
    middle = (share + z2 / (2 * total)) / (1 + z2 / total)
    half = math.sqrt(z2) * math.sqrt(share * (1 - share) / total + z2 / (4 * total**2)) / (1 + z2 / total)
    low = 0.0 if count == 0 else max(0.0, middle - half)
    high = 1.0 if count == total else min(1.0, middle + half)
    return Span(share, low, high)


def difference(first: Span, second: Span) -> Span:
    """Return `first` less `second` with Newcombe's range from their Wilson ranges, each −1 to 1.

    Source: Newcombe 1998, method 10 (hybrid score, no continuity correction).
    """
    gap = first.value - second.value
    down = math.hypot(first.value - first.low, second.high - second.value)
    up = math.hypot(first.high - first.value, second.value - second.low)
    return Span(gap, gap - down, gap + up)


@dataclass(frozen=True, slots=True)
class Dish:
    """How many germinated of how many sown in one dish."""

    germinated: int
    sown: int


def design_effect(arms: tuple[tuple[Dish, ...], ...]) -> float | None:
    """Return by how much dishes differ more than seeds alone would make them: 1 as expected, more if they cluster.

    Pearson's chi² within the arms over its degrees of freedom, never below 1.

    Args:
        arms: the dishes of each arm.

    Returns:
        The factor, or None when no arm has two dishes.
    """
    chi2 = sum(_chi2(dishes) for dishes in arms)
    freedom = sum(len(dishes) - 1 for dishes in arms)
    return None if freedom < 1 else max(1.0, chi2 / freedom)


def _chi2(dishes: tuple[Dish, ...]) -> float:
    sown = sum(dish.sown for dish in dishes)
    share = sum(dish.germinated for dish in dishes) / sown
    if share in (0.0, 1.0):
        return 0.0
    return sum((dish.germinated - dish.sown * share) ** 2 / (dish.sown * share * (1 - share)) for dish in dishes)
