"""What the counts of a trial come to: shares, differences, times, and how sure they are."""

from dataclasses import dataclass
from functools import lru_cache

from station.domain.exact import boschloo_two_sided, fisher_two_sided
from station.domain.power import seeds_to_see
from station.domain.shares import Dish, Span, design_effect, difference, wilson
from station.domain.trials import Arm, Trial

DAY_S = 86400.0
EXACT_MOST = 1500
"""Seeds in two arms up to which the exact tests are worked out; above, the ranges say all there is to say."""


@dataclass(frozen=True, slots=True)
class ArmResult:
    """What came of one arm.

    Args:
        name: the arm.
        sown, germinated: seeds.
        share: germinated of sown, 0 to 1, with its Wilson range, widened when dishes differ more than seeds would.
        mean_days: mean time to germination in days, None when nothing germinated.
        dishes: each dish.
    """

    name: str
    sown: int
    germinated: int
    share: Span
    mean_days: float | None
    dishes: tuple[Dish, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """One arm against the control.

    Args:
        arm, control: their names.
        difference: of the shares, −1 to 1, with Newcombe's range.
        fisher, boschloo: two-sided probabilities of a difference as large by chance alone; None for very many seeds.
        adjusted: the smaller of the evidence after allowing for several comparisons (Holm); None as above.
    """

    arm: str
    control: str
    difference: Span
    fisher: float | None
    boschloo: float | None
    adjusted: float | None = None


@dataclass(frozen=True, slots=True)
class TrialResult:
    """What a trial has shown so far.

    Args:
        arms: in the order in which they were sown.
        comparisons: every other arm against the control, once every dish of both was counted.
        design_effect: by how much dishes differ more than seeds would; None without several dishes in an arm whose
            dishes were all counted.
        needed: seeds each arm needs to see 20 points of difference from the control's share.
    """

    arms: tuple[ArmResult, ...]
    comparisons: tuple[Comparison, ...]
    design_effect: float | None
    needed: int


def mean_days_to_germination(counts: tuple[tuple[float, int], ...]) -> float | None:
    """Return the mean time to germination in days, or None when nothing germinated.

    Args:
        counts: days since sowing and how many had germinated by then, all told, in order of time.

    Source: Ellis & Roberts 1981, Σ n·t / Σ n; a seed counts on the day it was found.
    """
    total, weighted, before = 0, 0.0, 0
    for days, germinated in counts:
        total += germinated - before
        weighted += (germinated - before) * days
        before = germinated
    return weighted / total if total > 0 else None


@lru_cache(maxsize=32)
def trial_result(trial: Trial) -> TrialResult:
    """Return what a trial has shown so far.

    The exact tests of some hundred seeds take a small computer seconds: once for each state of a trial is enough.
    """
    uncounted = trial.uncounted
    effect = design_effect(tuple(trial.dishes(arm) for arm in trial.arms if arm.name not in uncounted))
    arms = tuple(_arm_result(trial, arm, effect or 1.0) for arm in trial.arms)
    control = next(one for one in arms if one.name == trial.arm(trial.control).name)
    compared = tuple(
        _compared(one, control) for one in arms if one is not control and not {one.name, control.name} & {*uncounted}
    )
    return TrialResult(arms, _holm(compared), effect, seeds_to_see(control.share.value))


def _arm_result(trial: Trial, arm: Arm, effect: float) -> ArmResult:
    dishes = trial.dishes(arm)
    germinated = sum(dish.germinated for dish in dishes)
    share = wilson(germinated / effect, arm.sown / effect)
    return ArmResult(arm.name, arm.sown, germinated, share, _mean_days(trial, arm), dishes)


def _mean_days(trial: Trial, arm: Arm) -> float | None:
    means = []
    for dish in range(1, len(arm.dishes) + 1):
        counts = trial.counts_of(arm.name, dish)
        by_day = tuple(((one.at - trial.sown_at).total_seconds() / DAY_S, one.germinated) for one in counts)
        mean = mean_days_to_germination(by_day)
        if mean is not None:
            means.append((mean, by_day[-1][1]))
    seeds = sum(number for _, number in means)
    return sum(mean * number for mean, number in means) / seeds if seeds else None


def _compared(one: ArmResult, control: ArmResult) -> Comparison:
    fisher = boschloo = None
    if one.sown + control.sown <= EXACT_MOST:
        counts = (one.germinated, one.sown, control.germinated, control.sown)
        fisher, boschloo = fisher_two_sided(*counts), boschloo_two_sided(*counts)
    return Comparison(one.name, control.name, difference(one.share, control.share), fisher, boschloo)


def _holm(compared: tuple[Comparison, ...]) -> tuple[Comparison, ...]:
    """Allow for several comparisons: the smallest probability counts as many times as there are, and so on."""
    order = sorted((one.boschloo, index) for index, one in enumerate(compared) if one.boschloo is not None)
    adjusted: dict[int, float] = {}
    worst = 0.0
    for rank, (chance, index) in enumerate(order):
        worst = max(worst, min(1.0, chance * (len(order) - rank)))
        adjusted[index] = worst
    return tuple(
        Comparison(one.arm, one.control, one.difference, one.fisher, one.boschloo, adjusted.get(index))
        for index, one in enumerate(compared)
    )
