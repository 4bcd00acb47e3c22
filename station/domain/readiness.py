"""Readiness: what is believed about how much warmth a plant needs, and how a grower's judgement changes it.

A plant's **typical need** (warm-days) and the base temperature are both uncertain; the belief is a weight on each
pair of a grid. One jar's own need scatters about the typical one. Everything is worked out in the logarithm of the
need, so that "a fifth longer" means the same for a quick plant as for a slow one.
"""

import math
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, field
from operator import mul
from statistics import NormalDist

from station.domain.jars import Judgement
from station.domain.warmth import BASE_C, BASES_C, REFERENCE_C, Warmth
from station.errors import JarsideError

NEED_WARM_DAYS = 5.5
"""Common practice: five or six days at about 20 °C."""
NEED_BOUNDS = (2.0, 15.0)
"""What can be set as a plant's need, warm-days; teaching texts run from 3 to 10 days."""
LOG_SD = 0.15
"""Spread of the need of a jar of a plant never yet judged (standard deviation of its logarithm)."""
JAR_LOG_SD = 0.10
"""Part of that spread that stays within one plant, from jar to jar: five days or six for the same leaves."""
PAST_SHARE = 1.3
"""A jar is past its best beyond this share of its need: 5 to 6 days is common practice, CTAHR SA-7 (2013) still
takes about 7, so 1.3 × 5.5."""
MISSING_SD_C = 3.0
"""How far the mean temperature of hours that nobody measured may lie from that of the hours that were."""

RIGHT_SHARE = math.sqrt(PAST_SHARE)
"""Where in its good window a jar judged `right` lies on average: half way, on the log scale, from ready to past."""
RIGHT_LOG_SD = math.log(PAST_SHARE) / math.sqrt(12.0)
"""Spread of a place anywhere in that window (a uniform distribution's standard deviation)."""
JUDGING_LOG_SD = 0.05
"""How finely a person tells `too early` and `too late`: about a quarter of a day in five and a half."""

GRID_STEP = 0.025
"""Distance of neighbouring needs of the grid, in their logarithm."""
_COUNT = 137
_GRID = tuple(math.log(NEED_WARM_DAYS) + GRID_STEP * (index - _COUNT // 2) for index in range(_COUNT))
NEEDS = tuple(math.exp(log_need) for log_need in _GRID)
"""The grid of typical needs, warm-days: log-spaced from 1 to 30, with the default in the middle."""
_LEAST = NEEDS[0]
WARM_DAY_CH = tuple(24.0 * (REFERENCE_C - base_c) for base_c in BASES_C)
"""Degree-hours of one warm-day above each of `BASES_C`."""
_NORMAL = NormalDist()
_QUADRATURE = ((0.0, 2.0 / 3.0), (-math.sqrt(3.0), 1.0 / 6.0), (math.sqrt(3.0), 1.0 / 6.0))


def _kernel(log_sd: float) -> tuple[float, ...]:
    """Return the normal distribution function at whole grid steps, far enough to both sides to be 0 and 1."""
    reach = math.ceil(5.0 * log_sd / GRID_STEP)
    return tuple(_NORMAL.cdf(GRID_STEP * step / log_sd) for step in range(-reach, reach + 1))


_JAR_KERNEL = _kernel(JAR_LOG_SD)


def _scattered(column: Sequence[float]) -> Sequence[float]:
    """Return, for each need of the grid, the weight that a jar's own need is at most this."""
    reach = len(_JAR_KERNEL) // 2
    padded = [0.0] * reach + list(column) + [0.0] * reach
    backwards = _JAR_KERNEL[::-1]
    below, heights = 0.0, array("d")
    for index in range(len(column)):
        heights.append(below + sum(map(mul, padded[index : index + 2 * reach + 1], backwards)))
        below += padded[index]
    return heights


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
        object.__setattr__(self, "ready", tuple(_scattered(column) for column in columns))


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
        log_sd: spread of one jar's need, above `JAR_LOG_SD` up to 0.5.
        base_c: the likeliest base temperature, 4 to 10 °C; the weights fall off evenly to both sides of it.

    Raises:
        JarsideError: a value is out of bounds.
    """
    _within("need", need_warm_days, *NEED_BOUNDS, "warm-days")
    _within("spread of the need", log_sd, JAR_LOG_SD, 0.5, "(log)")
    _within("base temperature", base_c, BASES_C[0], BASES_C[-1], "°C")
    plant_sd = math.sqrt(max(log_sd**2 - JAR_LOG_SD**2, GRID_STEP**2))
    middle = math.log(need_warm_days)
    column = [math.exp(-0.5 * ((log_need - middle) / plant_sd) ** 2) for log_need in _GRID]
    bases = [max(0.0, 4.0 - abs(base - base_c)) for base in BASES_C]
    return Belief(NEEDS, _normalised([[height * base for base in bases] for height in column]))


def _within(what: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise JarsideError(f"{what} {value:g} {unit} is out of bounds", f"Give {low:g} to {high:g} {unit}.")


def _normalised(rows: Sequence[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    total = math.fsum(map(math.fsum, rows))
    return tuple(tuple(weight / total for weight in row) for row in rows)


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
    total = 0.0
    for heights, had_ch, day_ch in zip(belief.ready, excess_ch, WARM_DAY_CH, strict=True):
        warm_days = had_ch / (day_ch * share)
        if warm_days > _LEAST:
            place = (math.log(warm_days) - _GRID[0]) / GRID_STEP
            step = int(place)
            if step >= _COUNT - 1:
                total += heights[-1]
            else:
                total += heights[step] + (place - step) * (heights[step + 1] - heights[step])
    return total


def possible_ch(warmth: Warmth) -> tuple[tuple[tuple[float, ...], float], ...]:
    """Return what a jar may have had, as degree-hours above each of `BASES_C` with the weight of each case.

    Missing hours are taken to have been as warm as the known ones, give or take `MISSING_SD_C`. Before anything was
    measured there is nothing to go by, and they count nothing.
    """
    if warmth.missing_h <= 0.0 or warmth.observed_h <= 0.0:
        return ((warmth.excess_ch, 1.0),)
    return tuple((_filled_ch(warmth, MISSING_SD_C * deviation), weight) for deviation, weight in _QUADRATURE)


def _filled_ch(warmth: Warmth, deviation_c: float = 0.0) -> tuple[float, ...]:
    known_h = warmth.observed_h + warmth.bridged_h
    return tuple([had_ch + warmth.missing_h * max(0.0, had_ch / known_h + deviation_c) for had_ch in warmth.excess_ch])


def updated(belief: Belief, warmth: Warmth, judgement: Judgement) -> Belief:
    """Return the belief after one jar was strained at this warmth and judged.

    `right`: the warmth is log-normal about the middle of the good window, `RIGHT_SHARE` × need. `too early`: the
    need lies above the warmth; `too late`: the warmth lies above `PAST_SHARE` × need (both one-sided probits). Jar
    scatter and, with missing hours, the unknown warmth widen all three. With nothing measured nothing is learned.
    """
    if warmth.observed_h <= 0.0:
        return belief
    columns = [_likelihood(warmth, judgement, index) for index in range(len(BASES_C))]
    rows = [
        [weight * column[need] for weight, column in zip(row, columns, strict=True)]
        for need, row in enumerate(belief.weights)
    ]
    return Belief(belief.needs, _normalised(rows))


def _likelihood(warmth: Warmth, judgement: Judgement, base: int) -> list[float]:
    had_ch = max(_filled_ch(warmth)[base], 1e-6)
    log_had = math.log(had_ch / WARM_DAY_CH[base])
    unknown = warmth.missing_h * MISSING_SD_C / had_ch
    fine = RIGHT_LOG_SD if judgement is Judgement.RIGHT else JUDGING_LOG_SD
    log_sd = math.sqrt(JAR_LOG_SD**2 + fine**2 + unknown**2)
    if judgement is Judgement.RIGHT:
        middle = log_had - math.log(RIGHT_SHARE)
        return [math.exp(-0.5 * ((log_need - middle) / log_sd) ** 2) + 1e-12 for log_need in _GRID]
    if judgement is Judgement.TOO_EARLY:
        return [_NORMAL.cdf((log_need - log_had) / log_sd) + 1e-12 for log_need in _GRID]
    edge = log_had - math.log(PAST_SHARE)
    return [_NORMAL.cdf((edge - log_need) / log_sd) + 1e-12 for log_need in _GRID]


def need_range(belief: Belief) -> NeedRange:
    """Return the need of the next jar in warm-days, as 10 %, 50 % and 90 %."""
    heights = [math.fsum(at_need) for at_need in zip(*belief.ready, strict=True)]
    low, median, high = (_need_at(heights, share) for share in (0.1, 0.5, 0.9))
    return NeedRange(low, median, high)


def _need_at(heights: Sequence[float], share: float) -> float:
    above = next((step for step, height in enumerate(heights) if height >= share), len(heights) - 1)
    if above == 0:
        return NEEDS[0]
    low, high = heights[above - 1], heights[above]
    part = (share - low) / (high - low) if high > low else 0.0
    return math.exp(_GRID[0] + GRID_STEP * (above - 1 + min(part, 1.0)))
