"""What the climate page shows: the course of temperature, humidity and light, and the same as tables."""

import enum
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboard.charts import Chart, Spell
from dashboard.views.courses import WORDS, Stretch, humidity_chart, light_chart, spells_of, temperature_chart
from dashboard.views.manner import Manner
from station.domain.alert import Alert
from station.domain.conditions import Kind
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.domain.jars import Jar
from station.domain.sentences import clock_text, day_text, light_text, number_text, temp_in, temp_text
from station.store.summaries import Bucket, HourSummary, Spread


class Span(enum.StrEnum):
    """How much is shown."""

    DAY = "day"
    WEEK = "week"

    @property
    def length(self) -> timedelta:
        """How long it is."""
        return timedelta(days=1 if self is Span.DAY else 7)

    @property
    def buckets(self) -> int:
        """In how many steps it is drawn: twelve minutes in a day, an hour in a week.

        A week that does not begin on the hour touches 169 of them.
        """
        return 120 if self is Span.DAY else 169

    @property
    def step_s(self) -> float:
        """How long a step is, seconds."""
        return 720.0 if self is Span.DAY else 3600.0


@dataclass(frozen=True, slots=True)
class ClimateRow:
    """A line of the table: an hour or a day."""

    when: str
    temp: str
    rh: str
    light: str
    conditions: str


@dataclass(frozen=True, slots=True)
class ClimateView:
    """The climate page; without charts when nothing was measured."""

    span: Span
    summary: str
    charts: tuple[Chart, ...]
    step: str
    rows: tuple[ClimateRow, ...]


def climate_view(
    span: Span,
    now_at: datetime,
    buckets: tuple[Bucket, ...],
    hours: tuple[HourSummary, ...],
    alerts: tuple[Alert, ...],
    jars: Iterable[Jar],
    manner: Manner,
) -> ClimateView:
    """Return the climate page.

    Args:
        span: how much is shown, up to now.
        now_at: the end of it, aware.
        buckets: the course in `span.buckets` steps.
        hours: the same stretch by the hour.
        alerts: those that were open in it.
        jars: all jars; those that did not stand on the shelf then are left out.
        manner: zone, units and limits.
    """
    since_at = now_at - span.length
    stood = tuple(Spell(jar.packed_at, jar.off_shelf_at, jar.plant) for jar in jars if _stood(jar, since_at, now_at))
    stretch = Stretch(since_at, now_at, buckets, spells_of(alerts, now_at), stood)
    makers = (temperature_chart, humidity_chart, light_chart)
    charts = tuple(make(stretch, manner) for make in makers) if any(bucket.count for bucket in buckets) else ()
    rows = _by_day(hours, manner) if span is Span.WEEK else _by_hour(hours, manner)
    return ClimateView(span, _summary(span, hours, manner), charts, "day" if span is Span.WEEK else "hour", rows)


def _stood(jar: Jar, since_at: datetime, until_at: datetime) -> bool:
    if jar.strained_at is not None and jar.strained_at <= since_at:
        return False
    if jar.discarded_at is not None and jar.discarded_at <= since_at:
        return False
    return jar.packed_at < until_at


def _summary(span: Span, hours: tuple[HourSummary, ...], manner: Manner) -> str:
    temps = [(hour.temp_c, hour.measured_h) for hour in hours if hour.temp_c is not None and hour.measured_h > 0.0]
    if not temps:
        return f"Nothing was measured in the last {span}."
    merged = _merged(temps)
    measured_h = sum(weight for _, weight in temps)
    good_h = sum(weight for spread, weight in temps if GOOD_LOW_C <= spread.mean <= GOOD_HIGH_C)
    return (
        f"The last {span}: {temp_text(merged.low, manner.unit)} to {temp_text(merged.high, manner.unit)}, "
        f"{temp_text(merged.mean, manner.unit)} on average; in the good range for "
        f"{number_text(100.0 * good_h / measured_h)} % of the hours measured."
    )


def _merged(spreads: list[tuple[Spread, float]]) -> Spread:
    """Return several spreads as one, the means weighted."""
    weight = sum(part for _, part in spreads)
    mean = sum(spread.mean * part for spread, part in spreads) / weight
    return Spread(min(spread.low for spread, _ in spreads), mean, max(spread.high for spread, _ in spreads))


def _by_hour(hours: tuple[HourSummary, ...], manner: Manner) -> tuple[ClimateRow, ...]:
    return tuple(_row(clock_text(hour.start_at, manner.zone), [hour], manner) for hour in hours)


def _by_day(hours: tuple[HourSummary, ...], manner: Manner) -> tuple[ClimateRow, ...]:
    days: dict[str, list[HourSummary]] = {}
    for hour in hours:
        days.setdefault(day_text(hour.start_at, manner.zone), []).append(hour)
    return tuple(_row(day, part, manner) for day, part in days.items())


def _row(when: str, hours: list[HourSummary], manner: Manner) -> ClimateRow:
    raised: dict[Kind, float] = {}
    for kind, held_h in (one for hour in hours for one in hour.raised_h):
        raised[kind] = raised.get(kind, 0.0) + held_h
    return ClimateRow(
        when,
        _cell(hours, lambda hour: hour.temp_c, lambda temp_c: number_text(temp_in(temp_c, manner.unit), 1)),
        _cell(hours, lambda hour: hour.rh_pct, number_text),
        _cell(hours, lambda hour: hour.light_lx, lambda light_lx: light_text(light_lx).removesuffix(" lx")),
        ", ".join(f"{WORDS[kind]} {_hours_text(held_h)}" for kind, held_h in raised.items()),
    )


def _hours_text(held_h: float) -> str:
    return f"{held_h:.1f} h" if held_h >= 1.0 else f"{round(held_h * 60)} min"


def _cell(hours: list[HourSummary], look: Callable[[HourSummary], Spread | None], text: Callable[[float], str]) -> str:
    """Return "20.1 (17.2 to 22.8)"; "–" where nothing was measured."""
    found = [(spread, hour.measured_h) for hour in hours if (spread := look(hour)) and hour.measured_h > 0.0]
    if not found:
        return "–"
    merged = _merged(found)
    return f"{text(merged.mean)} ({text(merged.low)} to {text(merged.high)})"
