"""Which stretch of time the climate page shows, and the steps back and forward from it."""

import enum
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from station.domain.moments import date_text, day_text


class Span(enum.StrEnum):
    """How much is shown."""

    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    SEASON = "season"

    @property
    def days(self) -> int:
        """How long it is, in days; a season has thirteen weeks."""
        return {Span.DAY: 1, Span.WEEK: 7, Span.MONTH: 30, Span.SEASON: 91}[self]

    @property
    def length(self) -> timedelta:
        """How long it is."""
        return timedelta(days=self.days)

    @property
    def step_s(self) -> float:
        """How long a step of its curves is, seconds: 12 minutes of a day, 2 hours of a week, 6 of a month, or a day."""
        return {Span.DAY: 720.0, Span.WEEK: 7200.0, Span.MONTH: 21_600.0, Span.SEASON: 86_400.0}[self]

    @property
    def row(self) -> str:
        """What a line of its table is about."""
        return {Span.DAY: "hour", Span.SEASON: "week"}.get(self, "day")


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of time to be shown.

    Args:
        span: how much.
        since_at, until_at: its ends, aware UTC.
        until: the local day it ends with; None while it ends now.
        earlier: the last day of the stretch before it.
        later: the last day of the stretch after it; None where that would end now.
    """

    span: Span
    since_at: datetime
    until_at: datetime
    until: date | None
    earlier: date
    later: date | None

    @property
    def live(self) -> bool:
        """Whether it ends now."""
        return self.until is None

    @property
    def steps_since_at(self) -> datetime:
        """Where its curves begin: in a stretch that ends now at a full step, so that finished ones stay as they are."""
        over_s = self.since_at.timestamp() % self.span.step_s if self.live else 0.0
        return self.since_at - timedelta(seconds=over_s)

    def name(self, zone: ZoneInfo) -> str:
        """Return what the stretch is called: "The last week", "Mon 4 May to Sun 10 May"."""
        if self.until is None:
            return f"The last {self.span}"
        last_at = self.until_at - timedelta(hours=1)
        one_day = self.since_at.astimezone(zone).date() == last_at.astimezone(zone).date()
        return date_text(last_at, zone) if one_day else f"{day_text(self.since_at, zone)} to {date_text(last_at, zone)}"

    def edges(self, zone: ZoneInfo) -> tuple[datetime, ...]:
        """Return where the lines of its table begin and end: hours, local days or local weeks."""
        between = _hours(self) if self.span.row == "hour" else _midnights(self, zone)
        return (self.since_at, *between, self.until_at)


def window(span: Span, until: date | None, now_at: datetime, zone: ZoneInfo) -> Window:
    """Return a stretch of whole local days that ends with the day `until`, or one that ends now.

    Args:
        span: how much.
        until: its last local day; None, today and later days end now.
        now_at: the present, aware.
        zone: of local days.
    """
    today = now_at.astimezone(zone).date()
    if until is None or until >= today:
        until_at = _next_minute(now_at)
        since_at = until_at - span.length
        return Window(span, since_at, until_at, None, _day_before(since_at, zone), None)
    first = until - timedelta(days=span.days - 1)
    after = until + timedelta(days=span.days)
    ends = _midnight(first, zone), _midnight(until + timedelta(days=1), zone)
    over = _midnight(after + timedelta(days=1), zone) < now_at
    return Window(span, *ends, until, first - timedelta(days=1), after if over else None)


def _next_minute(at: datetime) -> datetime:
    """Return the full minute at or after a time, so that within it one drawing serves all who look."""
    full = at.replace(second=0, microsecond=0)
    return full if full == at else full + timedelta(minutes=1)


def _day_before(at: datetime, zone: ZoneInfo) -> date:
    """Return the last local day of the stretch before: the present one's first day, told once more and whole."""
    local = at.astimezone(zone)
    return local.date() if local.time() > time(0) else local.date() - timedelta(days=1)


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(0), zone).astimezone(UTC)


def _hours(shown: Window) -> Iterator[datetime]:
    at = shown.since_at.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    while at < shown.until_at:
        yield at
        at += timedelta(hours=1)


def _midnights(shown: Window, zone: ZoneInfo) -> Iterator[datetime]:
    """Yield the local midnights within; of a season only those before a Monday."""
    day = shown.since_at.astimezone(zone).date() + timedelta(days=1)
    days = 1 if shown.span.row == "day" else 7
    day += timedelta(days=-day.weekday() % days)
    while (at := _midnight(day, zone)) < shown.until_at:
        yield at
        day += timedelta(days=days)
