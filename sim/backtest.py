"""Backtest: how far off a calendar date and the station's forecast would have been for many jars over a real log.

Virtual jars are packed one after another over the log; each has a need of its own that the forecast does not see.
"""

import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import fmean

from sim.virtual_jars import LoggedShelf, Moment, VirtualJar, finished
from station.domain.forecast import ReadyRange
from station.domain.jars import Judgement
from station.domain.learning import JUDGING_LOG_SD, JudgedJar, plant_belief
from station.domain.paths import HORIZON_DAYS
from station.domain.readiness import PAST_SHARE, Belief, chance_past, chance_ready
from station.domain.readings import Reading
from station.errors import JarsideError

CALENDAR_DAYS = 5.5
"""The calendar's rule: packing and so many days (common practice, five or six)."""
NEED_LOG_SD = 0.10
HALF, NEAR = 0.5, 0.8
_PLANT = "plant"


@dataclass(frozen=True, slots=True)
class Plan:
    """What is tried.

    Args:
        need_days: the plant's true typical need, days at 20 °C.
        need_log_sd: how the jars' true needs scatter about it.
        learn: how many jars of the plant were judged before.
        shift_temp_c: added to every temperature of the log.
        pack_every_h: hours from one jar's packing to the next.
        settle_h: how long the station has stood there before the first jar.
        seed: for the jars' needs.
    """

    need_days: float = CALENDAR_DAYS
    need_log_sd: float = NEED_LOG_SD
    learn: int = 0
    shift_temp_c: float = 0.0
    pack_every_h: float = 25.0
    settle_h: float = 72.0
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Score:
    """How far off a date was, hours: the mean of the absolute errors, and of the errors (positive = too late)."""

    mae_h: float
    bias_h: float


@dataclass(frozen=True, slots=True)
class RangeScore:
    """The share of jars that were ready within the 80 % range given at packing, and its mean width in hours."""

    coverage: float
    mean_width_h: float


@dataclass(frozen=True, slots=True)
class Backtest:
    """What came out.

    Args:
        jars: how many jars became ready within the log.
        mean_temp_c: the shelf's mean temperature over their time.
        calendar: the calendar's score.
        packing, half, near: the forecast's score at packing, half way, and when four fifths of the time had passed.
        spread: the 80 % range at packing.
    """

    jars: int
    mean_temp_c: float
    calendar: Score
    packing: Score
    half: Score
    near: Score
    spread: RangeScore


def backtest(
    readings: Iterable[Reading], plan: Plan | None = None, on_jar: Callable[[int, int], None] | None = None
) -> Backtest:
    """Try the forecast on a log.

    Args:
        readings: the log, in order of time.
        plan: what is tried; by default a plant that needs what the station believes.
        on_jar: called with the number of jars done and the most there can be.

    Raises:
        JarsideError: no jar becomes ready within the log.
    """
    plan = plan or Plan()
    shelf = LoggedShelf(readings, plan.shift_temp_c)
    packings = list(shelf.packings(plan.settle_h, plan.pack_every_h))
    belief = plant_belief(_PLANT, _judged(shelf, packings, plan))
    source = random.Random(plan.seed)
    tries: list[_Try] = []
    for packed_at in packings:
        jar = finished(shelf, packed_at, _need_days(plan, source))
        if jar is None:
            break  # of the later ones only the quick would end within the log, and they would flatter
        tries.append(_tried(shelf, jar, belief))
        if on_jar is not None:
            on_jar(len(tries), len(packings))
    if not tries:
        raise JarsideError("no jar becomes ready within this log", "Give a longer or a warmer log.")
    return _summed(tries)


@dataclass(frozen=True, slots=True)
class _Try:
    """How far off each date was for one jar, hours, and what its range was."""

    mean_temp_c: float
    calendar_h: float
    packing_h: float
    half_h: float
    near_h: float
    inside: bool
    width_h: float


def _need_days(plan: Plan, source: random.Random) -> float:
    return plan.need_days * math.exp(source.gauss(0.0, plan.need_log_sd))


def _tried(shelf: LoggedShelf, jar: VirtualJar, belief: Belief) -> _Try:
    packing, half, near = (shelf.ready_range(belief, jar.heat_at(share)) for share in (0.0, HALF, NEAR))
    calendar_at = jar.packed_at + timedelta(days=CALENDAR_DAYS)
    early_at, late_at = _known(packing.early_at, packing), _known(packing.late_at, packing)
    temps = [moment.heat.temp_c for moment in jar.moments if moment.heat.temp_c is not None]
    packing_h, half_h, near_h = (_hours(_known(one.likely_at, one) - jar.ready_at) for one in (packing, half, near))
    return _Try(
        mean_temp_c=fmean(temps),
        calendar_h=_hours(calendar_at - jar.ready_at),
        packing_h=packing_h,
        half_h=half_h,
        near_h=near_h,
        inside=early_at <= jar.ready_at <= late_at,
        width_h=_hours(late_at - early_at),
    )


def _known(at: datetime | None, given: ReadyRange) -> datetime:
    """Return a date of a range; one beyond the horizon counts as the horizon."""
    return at or given.made_at + timedelta(days=HORIZON_DAYS)


def _hours(span: timedelta) -> float:
    return span / timedelta(hours=1)


def _judged(shelf: LoggedShelf, packings: Sequence[datetime], plan: Plan) -> list[JudgedJar]:
    """Return the jars that were strained and judged before, one by one, as the belief of the time proposed.

    They stood on the same shelf, at moments spread over the log, and have needs of their own.
    """
    source = random.Random(-plan.seed)
    judged: list[JudgedJar] = []
    for packed_at in packings[:: max(1, len(packings) // max(1, plan.learn))][: plan.learn]:
        need_days = _need_days(plan, source)
        moment = _strained(shelf.life(packed_at), packed_at, plant_belief(_PLANT, judged))
        if moment is not None:
            judged.append(JudgedJar(_PLANT, moment.heat.warmth, _judgement(moment.work_days, need_days, source)))
    return judged


def _strained(life: Iterable[Moment], packed_at: datetime, belief: Belief) -> Moment | None:
    """Return a jar on the evening that is as good as the next: once a day, from the first evening on."""
    evening_at, before = packed_at + timedelta(hours=11), None
    for moment in life:
        if moment.heat.through_at >= evening_at:
            if before is not None and _good(belief, moment) < _good(belief, before):
                return before
            before = moment
            evening_at += timedelta(days=1)
    return None


def _good(belief: Belief, moment: Moment) -> float:
    return chance_ready(belief, moment.heat.warmth) - chance_past(belief, moment.heat.warmth)


def _judgement(work_days: float, need_days: float, source: random.Random) -> Judgement:
    """Return what a grower thinks of a jar who sees its state within a twentieth or so."""
    seen = work_days / need_days * math.exp(source.gauss(0.0, JUDGING_LOG_SD))
    if seen < 1.0:
        return Judgement.TOO_EARLY
    return Judgement.TOO_LATE if seen > PAST_SHARE else Judgement.RIGHT


def _summed(tries: Sequence[_Try]) -> Backtest:
    return Backtest(
        jars=len(tries),
        mean_temp_c=fmean(one.mean_temp_c for one in tries),
        calendar=_score([one.calendar_h for one in tries]),
        packing=_score([one.packing_h for one in tries]),
        half=_score([one.half_h for one in tries]),
        near=_score([one.near_h for one in tries]),
        spread=RangeScore(fmean(one.inside for one in tries), fmean(one.width_h for one in tries)),
    )


def _score(errors_h: Sequence[float]) -> Score:
    return Score(fmean(map(abs, errors_h)), fmean(errors_h))
