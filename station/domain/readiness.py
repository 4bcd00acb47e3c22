"""Readiness: what is believed about how much warmth a plant needs, and how sure a jar is to have had it.

A plant's **typical need** (warm-days) and the base temperature are both uncertain; the belief is a weight on each
pair of a grid. One jar's own need scatters about the typical one. Everything is worked out in the logarithm of the
need, so that "a fifth longer" means the same for a quick plant as for a slow one.
"""

import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from math import log
from operator import mul
from statistics import NormalDist

from station.domain.warmth import BASE_C, BASES_C, REFERENCE_C, Warmth
from station.errors import JarsideError

NEED_WARM_DAYS = 5.5
"""Common practice: five or six days at about 20 °C."""
NEED_BOUNDS = (2.0, 15.0)
"""What can be set as a plant's need, warm-days; teaching texts run from 5 to 10 days."""
LOG_SD = 0.105
"""Spread of the need of a jar of a plant never yet judged (standard deviation of its logarithm): the five or six days
of common practice are told in evenings, so four jars in five lie between 4.8 and 6.3 warm-days. The 7 of CTAHR SA-7
then is one jar in ninety, or a jar left standing."""
LOG_SD_BOUNDS = (0.09, 0.5)
JAR_LOG_SD = 0.08
"""Part of that spread that stays within one plant, from jar to jar. Five days or six for the same leaves is 0.07 if it
holds for four jars in five, 0.09 if for two in three; the more of the spread is the plant's, the more a jar teaches."""
PAST_SHARE = 1.3
"""A jar is past its best beyond this share of its need: 5 to 6 days is common practice, CTAHR SA-7 (2013) still
takes about 7, so 1.3 × 5.5."""
MISSING_SD_C = 3.0
"""How far the mean temperature of hours that nobody measured may lie from that of the hours that were."""
BASE_SD_C = 1.14
"""How unsure the base is (standard deviation). NDSU Extension gives sauerkraut 3 to 4 weeks at 75 to 70 °F and 5 to 6
at 65 to 60 °F; if any point of either span is as likely as any other, the base lies at 7.2 ± 1.14 °C, in the far
corners at 4.4 and 10."""

GRID_STEP = 0.025
"""Distance of neighbouring needs of the grid, in their logarithm."""
_HALF = 68
LOG_NEEDS = tuple(math.log(NEED_WARM_DAYS) + GRID_STEP * step for step in range(-_HALF, _HALF + 1))
NEEDS = tuple(map(math.exp, LOG_NEEDS))
"""The grid of typical needs, warm-days: log-spaced from 1 to 30, with the default in the middle."""
WARM_DAY_CH = tuple(24.0 * (REFERENCE_C - base_c) for base_c in BASES_C)
"""Degree-hours of one warm-day above each of `BASES_C`."""

_LEAST, _ORIGIN, _LAST, _STEPS = NEEDS[0], LOG_NEEDS[0], len(NEEDS) - 1, 1.0 / GRID_STEP
_QUADRATURE = ((0.0, 2.0 / 3.0), (-math.sqrt(3.0), 1.0 / 6.0), (math.sqrt(3.0), 1.0 / 6.0))
"""Points and weights that stand for a standard normal (Gauss and Hermite, three points)."""


@dataclass(frozen=True, slots=True)
class Belief:
    """Weights on pairs of typical need and base temperature; they sum to 1.

    Args:
        needs: the grid of typical needs in warm-days, log-spaced.
        weights: one row a need, one column for each of `BASES_C`.
    """

    needs: tuple[float, ...]
    weights: tuple[tuple[float, ...], ...]
    ready: tuple[Sequence[float], ...] = field(init=False, repr=False, compare=False)
    """For each base, the weight that a jar's need is at most that of the grid: asked every minute, so kept."""

    def __post_init__(self) -> None:
        columns = zip(*self.weights, strict=True)
        object.__setattr__(self, "ready", tuple(_jar_heights(column) for column in columns))


@dataclass(frozen=True, slots=True)
class NeedRange:
    """A need in warm-days: one in ten lies below `low`, half below `median`, nine in ten below `high`."""

    low: float
    median: float
    high: float


def default_belief(need_warm_days: float = NEED_WARM_DAYS, log_sd: float = LOG_SD, base_c: float = BASE_C) -> Belief:
    """Return the belief before any jar was judged.

    Args:
        need_warm_days: the median need, within `NEED_BOUNDS`.
        log_sd: spread of one jar's need, within `LOG_SD_BOUNDS`.
        base_c: the likeliest base temperature, 4 to 10 °C; the weights fall off to both sides of it as a bell.

    Raises:
        JarsideError: a value is out of bounds.
    """
    checked_prior(need_warm_days, log_sd, base_c)
    return belief_of(prior_columns(need_warm_days, math.sqrt(log_sd**2 - JAR_LOG_SD**2), base_c))


def checked_prior(need_warm_days: float, log_sd: float, base_c: float) -> None:
    """Refuse what cannot be a belief's beginning.

    Raises:
        JarsideError: a value is out of bounds.
    """
    _check("need", need_warm_days, NEED_BOUNDS, " warm-days")
    _check("spread of the need", log_sd, LOG_SD_BOUNDS, "")
    _check("base temperature", base_c, (BASES_C[0], BASES_C[-1]), " °C")


def _check(what: str, value: float, bounds: tuple[float, float], unit: str) -> None:
    low, high = bounds
    if not low <= value <= high:
        raise JarsideError(f"{what} {value:g}{unit} is out of bounds", f"Give {low:g} to {high:g}{unit}.")


def prior_columns(need_warm_days: float, log_sd: float, base_c: float) -> list[list[float]]:
    """Return, for each base, a bell of weights over the needs of the grid (not yet scaled to sum to 1)."""
    middle = math.log(need_warm_days)
    bell = [math.exp(-0.5 * ((log_need - middle) / log_sd) ** 2) for log_need in LOG_NEEDS]
    likely = [math.exp(-0.5 * ((base - base_c) / BASE_SD_C) ** 2) for base in BASES_C]
    return [[weight * height for height in bell] for weight in likely]


def belief_of(columns: Sequence[Sequence[float]]) -> Belief:
    """Return the belief with these weights, one column for each of `BASES_C`, scaled to sum to 1."""
    total = math.fsum(map(math.fsum, columns))
    return Belief(NEEDS, tuple(tuple(weight / total for weight in row) for row in zip(*columns, strict=True)))


def convolved(column: Sequence[float], kernel: Sequence[float]) -> list[float]:
    """Return a column spread by a kernel of odd length about its middle; nothing lies beyond the grid."""
    reach = len(kernel) // 2
    padded = [0.0] * reach + list(column) + [0.0] * reach
    backwards = kernel[::-1]
    return [sum(map(mul, padded[index : index + len(kernel)], backwards)) for index in range(len(column))]


def _jar_kernel() -> list[float]:
    """Return how a jar's need scatters about the typical one: the shares between neighbouring steps."""
    scatter = NormalDist(0.0, JAR_LOG_SD)
    reach = math.ceil(5.0 * JAR_LOG_SD / GRID_STEP)
    return [scatter.cdf(GRID_STEP * step) - scatter.cdf(GRID_STEP * (step - 1)) for step in range(-reach, reach + 1)]


_JAR_KERNEL = _jar_kernel()


def _jar_heights(column: Sequence[float]) -> Sequence[float]:
    """Return, for each need of the grid, the weight that a jar's own need is at most this.

    What scatters beyond an end of the grid is shared out over it, so that the last height is the whole weight.
    """
    heights = list(accumulate(convolved(column, _JAR_KERNEL)))
    kept = heights[-1]
    whole = math.fsum(column)
    return array("d", [height * whole / kept for height in heights] if kept > 0.0 else heights)


def chance_ready(belief: Belief, warmth: Warmth) -> float:
    """Return the probability, 0 to 1, that a jar's warmth has reached its need; 0 before anything was measured."""
    return _chance(belief, warmth, 1.0)


def chance_past(belief: Belief, warmth: Warmth) -> float:
    """Return the probability, 0 to 1, that a jar's warmth is beyond `PAST_SHARE` of its need."""
    return _chance(belief, warmth, PAST_SHARE)


def _chance(belief: Belief, warmth: Warmth, share: float) -> float:
    if warmth.missing_h <= 0.0:
        return chance_reached(belief, warmth.excess_ch, share)
    return sum(weight * chance_reached(belief, had_ch, share) for had_ch, weight in possible_ch(warmth))


def chance_reached(belief: Belief, excess_ch: Sequence[float], share: float = 1.0) -> float:
    """Return the probability, 0 to 1, that so many degree-hours above each of `BASES_C` reach `share` of the need."""
    return chances_reached(belief, [(had_ch,) for had_ch in excess_ch], share)


def chances_reached(belief: Belief, cases_ch: Iterable[Iterable[float]], share: float = 1.0) -> float:
    """Return the sum of the probabilities that each of several cases reaches `share` of the need.

    Args:
        belief: what is believed of the need.
        cases_ch: for each of `BASES_C`, the degree-hours above it in each case.
        share: of the need.
    """
    total = 0.0
    for heights, base_ch, day_ch in zip(belief.ready, cases_ch, WARM_DAY_CH, strict=True):
        scale = 1.0 / (day_ch * share)
        for had_ch in base_ch:
            warm_days = had_ch * scale
            if warm_days > _LEAST:
                place = (log(warm_days) - _ORIGIN) * _STEPS
                step = int(place)
                if step >= _LAST:
                    total += heights[_LAST]
                else:
                    low = heights[step]
                    total += low + (place - step) * (heights[step + 1] - low)
    return total


def possible_ch(warmth: Warmth) -> tuple[tuple[tuple[float, ...], float], ...]:
    """Return what a jar may have had, as degree-hours above each of `BASES_C` with the weight of each case.

    Missing hours are taken to have been as warm as the known ones, give or take `MISSING_SD_C`.
    """
    if warmth.missing_h <= 0.0:
        return ((warmth.excess_ch, 1.0),)
    return tuple((likely_ch(warmth, MISSING_SD_C * deviation), weight) for deviation, weight in _QUADRATURE)


def likely_ch(warmth: Warmth, deviation_c: float = 0.0) -> tuple[float, ...]:
    """Return degree-hours above each base with the missing hours as warm as the known ones, and `deviation_c` more.

    Before anything was measured there is nothing to go by, and missing hours count nothing.
    """
    known_h = warmth.observed_h + warmth.bridged_h
    if known_h <= 0.0:
        return warmth.excess_ch
    return tuple([had_ch + warmth.missing_h * max(0.0, had_ch / known_h + deviation_c) for had_ch in warmth.excess_ch])


def need_range(belief: Belief) -> NeedRange:
    """Return the need of the next jar in warm-days, as 10 %, 50 % and 90 %."""
    heights = [math.fsum(at_need) for at_need in zip(*belief.ready, strict=True)]
    low, median, high = (_need_at(heights, share) for share in (0.1, 0.5, 0.9))
    return NeedRange(low, median, high)


def _need_at(heights: Sequence[float], share: float) -> float:
    above = next((step for step, height in enumerate(heights) if height >= share), _LAST)
    if above == 0:
        return NEEDS[0]
    part = (share - heights[above - 1]) / (heights[above] - heights[above - 1])
    return math.exp(LOG_NEEDS[above - 1] + GRID_STEP * part)
