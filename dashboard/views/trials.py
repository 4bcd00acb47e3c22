"""What is shown of trials: the list, and one trial with its curves, its counts and what they can show."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from dashboard.germination_chart import Curve, GerminationChart
from dashboard.views.manner import Manner
from station.domain.figures import counted, number_text
from station.domain.germination import ArmResult, Comparison, TrialResult, trial_result
from station.domain.moments import day_text, moment_text
from station.domain.shares import Span
from station.domain.trials import Arm, Counted, Trial
from station.domain.verdicts import verdict_sentences

DAY_S = 86400.0
NOT_COUNTED = "–"


@dataclass(frozen=True, slots=True)
class TrialLine:
    """A trial in the list: which, how it stands, how many came up in each arm, and whether it may still be counted."""

    id: str
    seeds: str
    state: str
    sown: str
    arms: str
    open: bool


@dataclass(frozen=True, slots=True)
class DishField:
    """A field for the count of one dish.

    Args:
        name: of the field.
        arm, dish: which dish; counted from 1.
        label: in words.
        hint: what it was at the last count, and how many were sown.
    """

    name: str
    arm: str
    dish: int
    label: str
    hint: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under headings; the first cell of a row names it."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class TrialView:
    """A trial's own page.

    Args:
        line: as in the list.
        verdict: what it shows and what it cannot show, the most important first.
        facts: names and values, in order.
        chart: the curves, or None before the first count.
        arms: what came of each arm, and of each against the one to compare with.
        counts: every count, dish by dish.
        last, last_at: when it was counted last, for people and exactly; empty before the first count and after the end.
    """

    line: TrialLine
    verdict: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    chart: GerminationChart | None
    arms: tuple[Table, ...]
    counts: Table
    last: str = ""
    last_at: str = ""


def trial_lines(trials: Iterable[Trial], manner: Manner) -> tuple[TrialLine, ...]:
    """Return the trials, the latest recorded first, those still counted before those that ended."""
    latest = reversed(tuple(trials))
    return tuple(trial_line(one, manner) for one in sorted(latest, key=lambda one: one.ended_at is not None))


def trial_line(trial: Trial, manner: Manner) -> TrialLine:
    """Return a trial as the list shows it."""
    arms = (f"{arm.name} {sum(dish.germinated for dish in trial.dishes(arm))} of {arm.sown}" for arm in trial.arms)
    return TrialLine(
        trial.id,
        trial.seeds,
        "ended" if trial.ended_at else "counting goes on" if trial.counts else "not counted yet",
        f"sown {moment_text(trial.sown_at, manner.zone)}",
        ", ".join(arms),
        trial.ended_at is None,
    )


def trial_view(trial: Trial, manner: Manner) -> TrialView:
    """Return a trial's own page."""
    result, last_counts = trial_result(trial), trial.last_counts if trial.ended_at is None else ()
    return TrialView(
        trial_line(trial, manner),
        verdict_sentences(trial, result),
        tuple(_facts(trial, manner)),
        germination_chart(trial, result) if trial.counts else None,
        (_arms_table(result), *([_compared_table(result)] if result.comparisons else ())) if trial.counts else (),
        _counts_table(trial, manner),
        moment_text(last_counts[0].at, manner.zone) if last_counts else "",
        last_counts[0].at.isoformat() if last_counts else "",
    )


def _facts(trial: Trial, manner: Manner) -> list[tuple[str, str]]:
    facts = [("Sown", moment_text(trial.sown_at, manner.zone))]
    facts += [(arm.name, _sown_text(arm)) for arm in trial.arms]
    facts += [("Compared with", trial.control)]
    facts += [("Juice", trial.bottle_id)] if trial.bottle_id else []
    facts += [("How they were treated", trial.treatment)] if trial.treatment else []
    facts += [("Note", trial.note)] if trial.note else []
    facts += [("Ended", moment_text(trial.ended_at, manner.zone))] if trial.ended_at else []
    return facts + ([("At the end", trial.end_note)] if trial.end_note else [])


def _sown_text(arm: Arm) -> str:
    dishes = len(arm.dishes)
    if dishes == 1:
        return f"{counted(arm.sown, 'seed')} in one dish"
    return f"{arm.sown} seeds: {' + '.join(str(sown) for sown in arm.dishes)}"


def dish_fields(trial: Trial) -> tuple[DishField, ...]:
    """Return a field for every dish."""
    return tuple(
        _dish_field(trial, arm, place, dish)
        for place, arm in enumerate(trial.arms)
        for dish in range(1, len(arm.dishes) + 1)
    )


def _dish_field(trial: Trial, arm: Arm, place: int, dish: int) -> DishField:
    counts = trial.counts_of(arm.name, dish)
    before = f"{counts[-1].germinated} last time" if counts else "not counted yet"
    label = arm.name if len(arm.dishes) == 1 else f"{arm.name}, dish {dish}"
    return DishField(f"count-{place}-{dish}", arm.name, dish, label, f"{before}, of {arm.dishes[dish - 1]}")


def germination_chart(trial: Trial, result: TrialResult) -> GerminationChart:
    """Return the curves of a trial that was counted."""
    curves = tuple(_curve(trial, arm, came) for arm, came in zip(trial.arms, result.arms, strict=True))
    ends = "; ".join(f"{curve.name} {number_text(curve.points[-1][1])} %" for curve in curves)
    return GerminationChart(
        "germination",
        f"Germination of {trial.seeds}",
        f"Percent germinated by the days since sowing. At the last count: {ends}. The bars show the range of each.",
        curves,
    )


def _curve(trial: Trial, arm: Arm, came: ArmResult) -> Curve:
    times = sorted({one.at for one in trial.counts if one.arm == arm.name})
    points = [(days_since(trial, at), 100.0 * (_germinated(trial, arm, at) / arm.sown)) for at in times]
    return Curve(arm.name, ((0.0, 0.0), *points), 100.0 * came.share.low, 100.0 * came.share.high)


def days_since(trial: Trial, at: datetime) -> float:
    """Return days from the sowing to a moment."""
    return (at - trial.sown_at).total_seconds() / DAY_S


def _germinated(trial: Trial, arm: Arm, at: datetime) -> int:
    """Return how many of an arm had germinated by a moment, each dish by its last count until then."""
    return sum(
        max((one.germinated for one in trial.counts_of(arm.name, dish) if one.at <= at), default=0)
        for dish in range(1, len(arm.dishes) + 1)
    )


def _arms_table(result: TrialResult) -> Table:
    rows = tuple(
        (
            arm.name,
            f"{arm.germinated} of {arm.sown}, {_pct(arm.share.value)}",
            f"{_pct(arm.share.low)} to {_pct(arm.share.high)}",
            NOT_COUNTED if arm.mean_days is None else number_text(arm.mean_days, 1),
        )
        for arm in result.arms
    )
    return Table("What came up. The true share lies within the range 95 times in 100.", _ARMS, rows)


_ARMS = ("Seeds", "Came up", "Range", "Mean days")
_COMPARED = ("Difference", "Points", "Range", "By chance alone")


def _compared_table(result: TrialResult) -> Table:
    rows = tuple(
        (f"{one.arm} less {one.control}", _points(one.difference.value), _range(one.difference), _chance(one))
        for one in result.comparisons
    )
    caption = "Differences in points of 100, and the range within which the true one lies."
    return Table(caption, _COMPARED, rows)


def _pct(share: float) -> str:
    return f"{number_text(share * 100.0)} %"


def _points(gap: float) -> str:
    text = number_text(gap * 100.0)
    return f"+{text}" if gap > 0.0 else text


def _range(span: Span) -> str:
    return f"{_points(span.low)} to {_points(span.high)}"


def _chance(one: Comparison) -> str:
    if one.adjusted is None:
        return NOT_COUNTED
    times = one.adjusted * 100.0
    return "less than 0.1 in 100" if times < 0.1 else f"{number_text(times, 0 if times >= 10.0 else 1)} in 100"


def _counts_table(trial: Trial, manner: Manner) -> Table:
    dishes = [(arm.name, dish, sown) for arm in trial.arms for dish, sown in enumerate(arm.dishes, 1)]
    several = any(len(arm.dishes) > 1 for arm in trial.arms)
    headings = [f"{arm} {dish}, of {sown}" if several else f"{arm}, of {sown}" for arm, dish, sown in dishes]
    times = sorted({one.at for one in trial.counts}, reverse=True)
    rows = tuple(
        (
            f"{day_text(at, manner.zone)}, day {number_text(days_since(trial, at), 1)}",
            *(_cell(trial.counts_of(arm, dish), at) for arm, dish, _ in dishes),
        )
        for at in times
    )
    return Table("Germinated by then, all told, dish by dish.", ("Counted", *headings), rows)


def _cell(counts: tuple[Counted, ...], at: datetime) -> str:
    return next((str(one.germinated) for one in counts if one.at == at), NOT_COUNTED)
