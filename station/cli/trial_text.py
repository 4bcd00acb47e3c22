"""A trial as people and programs read it."""

from collections.abc import Iterator, Sequence
from datetime import tzinfo
from itertools import groupby
from typing import Any

from station.cli.columns import aligned
from station.cli.words import rounded
from station.domain.germination import Comparison, TrialResult, trial_result
from station.domain.moments import moment_text
from station.domain.shares import Span
from station.domain.trials import Counted, Trial
from station.domain.verdicts import finding, verdict_sentences


def trial_json(trial: Trial) -> dict[str, Any]:
    """Return a trial for programs: shares and probabilities from 0 to 1, times in days."""
    result = trial_result(trial)
    return {
        "id": trial.id,
        "seeds": trial.seeds,
        "sown_at": trial.sown_at,
        "ended_at": trial.ended_at,
        "control": trial.control,
        "bottle": trial.bottle_id or None,
        "treatment": trial.treatment or None,
        "arms": [_arm_json(result, index) for index in range(len(result.arms))],
        "comparisons": [_comparison_json(one) for one in result.comparisons],
        "design_effect": rounded(result.design_effect, 4),
        "needed_for_20_points": result.needed,
        "counts": [
            {"at": one.at, "arm": one.arm, "dish": one.dish, "germinated": one.germinated} for one in trial.counts
        ],
        "verdict": list(verdict_sentences(trial, result)),
    }


def _arm_json(result: TrialResult, index: int) -> dict[str, Any]:
    arm = result.arms[index]
    return {
        "name": arm.name,
        "sown": arm.sown,
        "germinated": arm.germinated,
        "share": _span(arm.share),
        "mean_days": rounded(arm.mean_days),
        "dishes": [{"sown": dish.sown, "germinated": dish.germinated} for dish in arm.dishes],
    }


def _comparison_json(one: Comparison) -> dict[str, Any]:
    return {
        "arm": one.arm,
        "control": one.control,
        "difference": _span(one.difference),
        "fisher": rounded(one.fisher, 8),
        "boschloo": rounded(one.boschloo, 8),
        "adjusted": rounded(one.adjusted, 8),
        "finding": str(finding(one)),
    }


def _span(span: Span) -> dict[str, float | None]:
    return {"value": rounded(span.value, 6), "low": rounded(span.low, 6), "high": rounded(span.high, 6)}


def trial_row(trial: Trial, zone: tzinfo) -> tuple[str, ...]:
    """Return a trial as a row."""
    arms = ", ".join(
        f"{arm.name} {sum(dish.germinated for dish in trial.dishes(arm))} of {arm.sown}" for arm in trial.arms
    )
    state = "ended" if trial.ended_at else "counting"
    return trial.id, state, f"sown {moment_text(trial.sown_at, zone)}", arms


def _count_text(trial: Trial, one: Counted) -> str:
    dish = f"/{one.dish}" if len(trial.arm(one.arm).dishes) > 1 else ""
    return f"{one.arm}{dish} {one.germinated}"


def counts_text(trial: Trial, counts: Sequence[Counted], zone: tzinfo) -> str:
    """Return what was counted at one time; `counts` is not empty."""
    return f"{moment_text(counts[0].at, zone)}  " + ", ".join(
        _count_text(trial, one) for one in sorted(counts, key=lambda one: (one.arm, one.dish))
    )


def trial_page(trial: Trial, zone: tzinfo) -> Iterator[str]:
    """Yield everything about a trial, a fact a line."""
    yield aligned([trial_row(trial, zone)])
    if trial.treatment:
        yield f"  treated {trial.treatment}"
    for _, counts in groupby(trial.counts, lambda one: one.at):
        yield f"  {counts_text(trial, tuple(counts), zone)}"
    yield from verdict_sentences(trial, trial_result(trial))
