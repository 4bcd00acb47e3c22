"""Learning: how judged jars change what is believed of a plant, what plants teach each other, and how to say so.

A plant's typical need scatters about a need common to all plants; a jar's need scatters about its plant's. The base
temperature is the same for all. All three scatters are normal in the logarithm of the need, so that with the base
fixed and every jar judged `right` the answer is the textbook's for normal means.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import TypeAlias

from station.domain.jars import Judgement
from station.domain.readiness import (
    GRID_STEP,
    JAR_LOG_SD,
    LOG_NEEDS,
    LOG_SD,
    MISSING_SD_C,
    NEED_WARM_DAYS,
    PAST_SHARE,
    WARM_DAY_CH,
    Belief,
    belief_of,
    checked_prior,
    convolved,
    likely_ch,
    prior_columns,
)
from station.domain.warmth import BASE_C, Warmth

BETWEEN_PLANTS_SHARE = 0.5
"""How much of what is unknown of a plant's typical need is the plant's own; the rest is common to all plants."""
RIGHT_SHARE = math.sqrt(PAST_SHARE)
"""Where in its good window a jar judged `right` lies on average: half way, on the log scale, from ready to past."""
RIGHT_LOG_SD = math.log(PAST_SHARE) / math.sqrt(12.0)
"""Spread of a place anywhere in that window (a uniform distribution's standard deviation)."""
JUDGING_LOG_SD = 0.05
"""How finely a person tells `too early` and `too late`: about a quarter of a day in five and a half."""

_NORMAL = NormalDist()
_FLOOR = 1e-12
"""No judgement makes anything impossible: one slip of the finger must not leave every weight at 0."""

Columns: TypeAlias = Sequence[Sequence[float]]
"""For each base, a weight for each need of the grid."""


@dataclass(frozen=True, slots=True)
class JudgedJar:
    """A strained jar, the warmth it had by then, and what the grower thought of it."""

    plant: str
    warmth: Warmth
    judgement: Judgement


@dataclass(frozen=True, slots=True)
class Explained:
    """Where a belief comes from, in numbers for a sentence.

    Args:
        plant: the plant.
        own_jars, other_jars: how many judged jars of this plant, and of others, it rests on.
        need_warm_days, give_or_take: the plant's typical need and its standard deviation, warm-days.
    """

    plant: str
    own_jars: int
    other_jars: int
    need_warm_days: float
    give_or_take: float


def updated(belief: Belief, warmth: Warmth, judgement: Judgement) -> Belief:
    """Return the belief about a plant after one of its jars was strained at this warmth and judged.

    `right`: the warmth is log-normal about the middle of the good window, `RIGHT_SHARE` × need. `too early`: the
    need lies above the warmth; `too late`: the warmth lies above `PAST_SHARE` × need (both one-sided probits). Jar
    scatter and, with missing hours, the unknown warmth widen all three. With nothing measured nothing is learned.
    """
    if warmth.observed_h <= 0.0:
        return belief
    columns = tuple(zip(*belief.weights, strict=True))
    return belief_of(_times(columns, _likelihood(warmth, judgement)))


def plant_belief(
    plant: str,
    judged: Iterable[JudgedJar],
    need_warm_days: float = NEED_WARM_DAYS,
    log_sd: float = LOG_SD,
    base_c: float = BASE_C,
) -> Belief:
    """Return what is believed of one plant after all judged jars: what all plants taught, then its own jars.

    A judgement that was withdrawn is simply not among them.

    Args:
        plant: the plant; need not have any jars.
        judged: the judged jars of all plants, in any order.
        need_warm_days, log_sd, base_c: as for `default_belief`, which this is without any jars.
    """
    checked_prior(need_warm_days, log_sd, base_c)
    taught: dict[str, Columns] = {plant: ()}
    for jar in judged:
        if jar.warmth.observed_h > 0.0:
            told = _likelihood(jar.warmth, jar.judgement)
            before = taught.get(jar.plant)
            taught[jar.plant] = _times(before, told) if before else told
    own = taught.pop(plant)
    unknown_var = log_sd**2 - JAR_LOG_SD**2
    between_sd = math.sqrt(unknown_var * BETWEEN_PLANTS_SHARE)
    columns: Columns = prior_columns(need_warm_days, math.sqrt(unknown_var * (1.0 - BETWEEN_PLANTS_SHARE)), base_c)
    for other in taught.values():
        columns = _times(columns, _blurred(other, between_sd))
    columns = _blurred(columns, between_sd)
    return belief_of(_times(columns, own) if own else columns)


def explained(plant: str, judged: Iterable[JudgedJar], belief: Belief) -> Explained:
    """Return the numbers behind a plant's belief.

    Args:
        plant: the plant.
        judged: the jars it was made from.
        belief: what `plant_belief` made of them.
    """
    counted = [jar.plant == plant for jar in judged if jar.warmth.observed_h > 0.0]
    heights = [math.fsum(row) for row in belief.weights]
    middle = math.fsum(height * log_need for height, log_need in zip(heights, LOG_NEEDS, strict=True))
    variance = math.fsum(height * (log_need - middle) ** 2 for height, log_need in zip(heights, LOG_NEEDS, strict=True))
    need = math.exp(middle)
    return Explained(plant, sum(counted), len(counted) - sum(counted), need, need * math.sqrt(variance))


def _times(columns: Columns, others: Columns) -> Columns:
    """Multiply weight by weight; scaled so that many jars do not underflow."""
    products = [
        [one * other for one, other in zip(column, told, strict=True)]
        for column, told in zip(columns, others, strict=True)
    ]
    top = max(map(max, products))
    return [[one / top for one in column] for column in products]


def _blurred(columns: Columns, log_sd: float) -> Columns:
    """Let the needs scatter by `log_sd`."""
    reach = math.ceil(5.0 * log_sd / GRID_STEP)
    kernel = [math.exp(-0.5 * (GRID_STEP * step / log_sd) ** 2) for step in range(-reach, reach + 1)]
    return [convolved(column, kernel) for column in columns]


def _likelihood(warmth: Warmth, judgement: Judgement) -> Columns:
    return [
        _column(had_ch / day_ch, warmth.missing_h * MISSING_SD_C / max(had_ch, 1.0), judgement)
        for had_ch, day_ch in zip(likely_ch(warmth), WARM_DAY_CH, strict=True)
    ]


def _column(had_warm_days: float, unknown: float, judgement: Judgement) -> list[float]:
    """Return the likelihood of a judgement at each typical need; `unknown` is a share of the warmth."""
    log_had = min(max(math.log(max(had_warm_days, 1e-9)), LOG_NEEDS[0]), LOG_NEEDS[-1])
    own = RIGHT_LOG_SD if judgement is Judgement.RIGHT else JUDGING_LOG_SD
    log_sd = math.sqrt(JAR_LOG_SD**2 + own**2 + unknown**2)
    match judgement:
        case Judgement.RIGHT:
            middle = log_had - math.log(RIGHT_SHARE)
            return [_FLOOR + math.exp(-0.5 * ((log_need - middle) / log_sd) ** 2) for log_need in LOG_NEEDS]
        case Judgement.TOO_EARLY:
            return [_FLOOR + _NORMAL.cdf((log_need - log_had) / log_sd) for log_need in LOG_NEEDS]
        case Judgement.TOO_LATE:
            latest = log_had - math.log(PAST_SHARE)
            return [_FLOOR + _NORMAL.cdf((latest - log_need) / log_sd) for log_need in LOG_NEEDS]
