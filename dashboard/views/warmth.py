"""A jar's warmth over its days: the curve against its need, and the days as a table."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from dashboard.charts import Chart
from dashboard.course import Course
from dashboard.spells import Spell
from dashboard.views.manner import Manner
from station.domain.figures import number_text, temp_text
from station.domain.jars import Jar
from station.domain.moments import day_text, moment_text
from station.domain.outlook import Outlook
from station.domain.warmth import relative_rate, time_constant_s
from station.domain.warmth_course import ShelfStep, WarmthPoint, warmth_course
from station.store.summaries import Bucket

AHEAD_MOST = timedelta(days=14)
"""The curve is drawn no further ahead than this."""
AHEAD_LEAST = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class DayRow:
    """A day of a jar: its mean (least to greatest) shelf temperature, and the warm-days had by its end."""

    day: str
    temp: str
    warm_days: str


def course_of(
    jar: Jar, outlook: Outlook | None, buckets: tuple[Bucket, ...], now_at: datetime
) -> tuple[WarmthPoint, ...]:
    """Return how a jar's warmth grew so far; only its packing while nothing was measured."""
    until_at = jar.off_shelf_at or now_at
    steps = [ShelfStep(one.start_at, one.span_s, one.temp_c.mean) for one in buckets if one.temp_c is not None]
    tau_s = time_constant_s(jar.jar_ml)
    if outlook is None:
        return warmth_course(steps, jar.packed_at, until_at, tau_s)
    return warmth_course(steps, jar.packed_at, until_at, tau_s, outlook.warm_days, outlook.base_c)


def warmth_chart(
    jar: Jar, outlook: Outlook, points: tuple[WarmthPoint, ...], step_s: float, now_at: datetime, manner: Manner
) -> Chart:
    """Return the curve of a jar's warmth against its need: so far, and on the shelf as it is likely to go on.

    Args:
        jar, outlook: the jar and what the station thinks of it.
        points: as `course_of` gives them, two at least.
        step_s: how far two of them lie apart where nothing is missing, seconds.
        now_at: the present.
        manner: the zone.
    """
    ahead = _ahead(outlook, points[-1], now_at) if jar.on_shelf else None
    until_at = ahead[-1].at if ahead else points[-1].at
    return Chart(
        key="warmth",
        title="Warmth",
        description=_told(outlook, points[-1], ahead, manner),
        unit="warm-days",
        since_at=jar.packed_at,
        until_at=until_at,
        zone=manner.zone,
        course=_course(points, step_s),
        good=(outlook.need_low, outlook.need_high),
        good_name="likely need",
        spells=tuple(_ready(outlook, until_at)) if ahead else (),
        expected=_course(ahead, (until_at - points[-1].at).total_seconds()) if ahead else None,
        say=_said,
        moments=True,
    )


def _said(warm_days: float) -> str:
    return f"{number_text(warm_days, 2)} warm-days"


def _course(points: tuple[WarmthPoint, ...], step_s: float) -> Course:
    """Return points as a course, which has a gap where nothing was measured."""
    values = tuple(point.warm_days for point in points)
    return Course(tuple(point.at.timestamp() for point in points), values, values, values, step_s)


def _ahead(outlook: Outlook, last: WarmthPoint, now_at: datetime) -> tuple[WarmthPoint, ...] | None:
    """Return how the warmth is likely to grow: to the likely need at its likely time, and on at that pace."""
    ends = [at for at in (outlook.ready_late_at, outlook.evening_at, outlook.ready_likely_at) if at is not None]
    until_at = min(max([*ends, now_at + AHEAD_LEAST]), now_at + AHEAD_MOST)
    days = (until_at - last.at) / timedelta(days=1)
    pace = _pace(outlook, last)
    return None if days <= 0.0 or pace is None else (last, WarmthPoint(until_at, last.warm_days + pace * days))


def _pace(outlook: Outlook, last: WarmthPoint) -> float | None:
    """Return the warm-days a day to come: those the forecast implies, else those of the jar's present temperature."""
    likely_at, left = outlook.ready_likely_at, outlook.need_likely - last.warm_days
    if likely_at is not None and likely_at - last.at > timedelta(hours=1) and left > 0.0:
        return left / ((likely_at - last.at) / timedelta(days=1))
    return None if outlook.heat.temp_c is None else relative_rate(outlook.heat.temp_c, outlook.base_c)


def _ready(outlook: Outlook, until_at: datetime) -> Iterator[Spell]:
    early_at = outlook.ready_early_at
    if early_at is not None and early_at < until_at:
        yield Spell(early_at, min(outlook.ready_late_at or until_at, until_at), "likely ready", "ready")


def _told(outlook: Outlook, last: WarmthPoint, ahead: tuple[WarmthPoint, ...] | None, manner: Manner) -> str:
    need = f"{number_text(outlook.need_low, 1)} to {number_text(outlook.need_high, 1)}"
    had = f"{number_text(last.warm_days, 1)} warm-days by {moment_text(last.at, manner.zone)}"
    return f"{had}; it is likely to need {need}." + (" Dashed: how it is likely to go on." if ahead else "")


def day_rows(buckets: tuple[Bucket, ...], points: tuple[WarmthPoint, ...], manner: Manner) -> tuple[DayRow, ...]:
    """Return a jar's days as a table, the same that its charts show.

    Args:
        buckets: the shelf's course over its days.
        points: its warmth.
        manner: zone and unit.
    """
    days: dict[date, list[Bucket]] = defaultdict(list)
    for bucket in buckets:
        if bucket.temp_c is not None:
            days[bucket.start_at.astimezone(manner.zone).date()].append(bucket)
    return tuple(_day_row(day, of_day, points, manner) for day, of_day in days.items())


def _day_row(day: date, buckets: list[Bucket], points: tuple[WarmthPoint, ...], manner: Manner) -> DayRow:
    spreads = [bucket.temp_c for bucket in buckets if bucket.temp_c is not None]
    mean, low, high = (
        sum(one.mean for one in spreads) / len(spreads),
        min(one.low for one in spreads),
        max(one.high for one in spreads),
    )
    had = [point.warm_days for point in points if point.at.astimezone(manner.zone).date() <= day]
    temp = f"{temp_text(mean, manner.unit)} ({temp_text(low, manner.unit)} to {temp_text(high, manner.unit)})"
    return DayRow(day_text(buckets[0].start_at, manner.zone), temp, number_text(had[-1], 1) if had else "–")
