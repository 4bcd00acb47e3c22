"""What a trial shows, said so that it claims no more than the counts can bear."""

import enum
from datetime import timedelta

from station.domain.figures import number_text
from station.domain.germination import ArmResult, Comparison, TrialResult
from station.domain.power import ALPHA
from station.domain.shares import Span
from station.domain.trials import Trial

CLUSTERED = 1.5
"""By how much more than single seeds would make them dishes of one kind differ before it is spoken of."""


_TOGETHER = timedelta(days=1)
"""Counts within this are of one look."""


class Finding(enum.StrEnum):
    """What one comparison allows to say."""

    BETTER = "more germinated"
    WORSE = "fewer germinated"
    OPEN = "cannot tell"


def finding(comparison: Comparison) -> Finding:
    """Return what a comparison allows to say: a difference only when both range and test agree on one."""
    span = comparison.difference
    if comparison.adjusted is not None and comparison.adjusted > ALPHA:
        return Finding.OPEN
    if span.low > 0.0:
        return Finding.BETTER
    return Finding.WORSE if span.high < 0.0 else Finding.OPEN


def _arm_text(result: ArmResult) -> str:
    """Return what came of one arm: "soaked 18 of 20 (90 %, range 70 to 97 %)"."""
    share = result.share
    return (
        f"{result.name} {result.germinated} of {result.sown} "
        f"({_pct(share.value)} %, range {_pct(share.low)} to {_pct(share.high)} %)"
    )


def _pct(share: float) -> str:
    return f"{share * 100:.0f}"


def verdict_sentences(trial: Trial, result: TrialResult) -> tuple[str, ...]:
    """Say in plain words what a trial shows so far, and what it cannot show.

    Args:
        trial: the trial.
        result: what its counts come to.
    """
    if not trial.counts:
        return ("Nothing has been counted yet.",)
    uncounted = trial.uncounted
    shares = "; ".join(_arm_text(arm) for arm in result.arms if arm.name not in uncounted)
    said = [_compared_text(one, clustered=_clustered(result)) for one in result.comparisons]
    needed = "" if uncounted else _needed_text(result)
    notes = (
        _uncounted_text(uncounted),
        _behind_text(trial),
        _times_text(result),
        needed,
        _dishes_text(result),
        _open_text(trial),
    )
    told = [f"{shares[0].upper()}{shares[1:]}."] if shares else []
    return (*told, *said, *(note for note in notes if note))


def _uncounted_text(uncounted: tuple[str, ...]) -> str:
    """Say of which arms a dish was never counted: that is another thing than nothing germinated."""
    if not uncounted:
        return ""
    return f"Not every dish of {' and '.join(uncounted)} has been counted yet: only then is there a comparison."


def _behind_text(trial: Trial) -> str:
    """Say that dishes were last looked at on different days; one in which all came up needs no more looks."""
    dishes = [(trial.counts_of(arm.name, no), sown) for arm in trial.arms for no, sown in enumerate(arm.dishes, 1)]
    open_at = [counts[-1].at for counts, sown in dishes if counts and counts[-1].germinated < sown]
    if all(trial.last_counts[0].at - at < _TOGETHER for at in open_at):
        return ""
    return "Some dishes were last counted days before the others: count all on one day before you compare."


def _clustered(result: TrialResult) -> bool:
    """Whether dishes of one kind differ so much that a test of single seeds says nothing."""
    return result.design_effect is not None and result.design_effect > CLUSTERED


def _compared_text(one: Comparison, *, clustered: bool) -> str:
    span = one.difference
    gap = f"{abs(span.value) * 100:.0f} points (range {_points(span)})"
    found = finding(one)
    chance = "" if clustered else _chance_text(one)
    if found is Finding.OPEN:
        return (
            f"Whether {one.arm} differs from {one.control} cannot be told from these counts: the difference of {gap} "
            f"may be chance{chance}. That is not proof that there is none."
        )
    return (
        f"{found.value.capitalize()} in {one.arm} than in {one.control}, by {gap}{chance}. "
        "One trial is a hint: repeat it."
    )


def _points(span: Span) -> str:
    return f"{round(span.low * 100):+d} to {round(span.high * 100):+d}".replace("-", "−")


def _chance_text(one: Comparison) -> str:
    """Say how often chance makes as much; nothing where the test alone sees a difference that the range leaves open."""
    if one.adjusted is None or (finding(one) is Finding.OPEN and one.adjusted <= ALPHA):
        return ""
    return f"; chance alone would make one as large {_often_text(one.adjusted)}"


def _often_text(chance: float) -> str:
    """Return how often that is: "about 15 times in 100", "about once in 320", "less than once in 1,000"."""
    if chance < 0.001:
        return "less than once in 1,000"
    if chance >= 0.095:
        return f"about {chance * 100.0:.0f} times in 100"
    return f"about once in {number_text(float(f'{1.0 / chance:.2g}'))}"


def _times_text(result: TrialResult) -> str:
    times = [f"{arm.name} {arm.mean_days:.1f}" for arm in result.arms if arm.mean_days is not None]
    return f"Mean days to germination: {', '.join(times)}, no finer than the days between counts." if times else ""


def _needed_text(result: TrialResult) -> str:
    if all(arm.sown >= result.needed for arm in result.arms):
        return ""
    return f"To see a difference of 20 points four times in five, sow about {result.needed} seeds of each kind."


def _dishes_text(result: TrialResult) -> str:
    if all(len(arm.dishes) == 1 for arm in result.arms):
        return (
            "Each kind of seeds stood in one dish: a difference may come from the dish (place, warmth, water) and not "
            "from the juice. Use several dishes of each kind and mix their places."
        )
    if _clustered(result):
        return (
            f"Dishes of the same kind differ {result.design_effect:.1f} times as much as single seeds would: seeds in "
            "one dish are not independent, and the ranges are widened for it."
        )
    return ""


def _open_text(trial: Trial) -> str:
    return "" if trial.ended_at is not None else "Counting goes on: judge at the end, not at the first good look."
