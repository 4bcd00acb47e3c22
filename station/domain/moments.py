"""Days and times as people read them: "Thu 14 May 19:00", in the local zone, in any language of the trade."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta, tzinfo

from station.domain.figures import counted

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def clock_text(at: datetime, zone: tzinfo) -> str:
    """Return the local time of day: "19:00"."""
    return f"{at.astimezone(zone):%H:%M}"


_NOW: ContextVar[Callable[[], datetime] | None] = ContextVar("now", default=None)


@contextmanager
def read_by(now: Callable[[], datetime]) -> Iterator[None]:
    """Within this, days of another year than the reader's present one are written with their year.

    Args:
        now: tells the present of the program's clock, aware.
    """
    token = _NOW.set(now)
    try:
        yield
    finally:
        _NOW.reset(token)


def plain_day_text(at: datetime, zone: tzinfo) -> str:
    """Return the local day, whatever the year: "Thu 14 May"."""
    local = at.astimezone(zone)
    return f"{_DAYS[local.weekday()]} {local.day} {_MONTHS[local.month - 1]}"


def day_text(at: datetime, zone: tzinfo) -> str:
    """Return the local day: "Thu 14 May"; with its year where that is not the present one (see `read_by`)."""
    now = _NOW.get()
    other_year = now is not None and now().astimezone(zone).year != at.astimezone(zone).year
    return date_text(at, zone) if other_year else plain_day_text(at, zone)


def date_text(at: datetime, zone: tzinfo) -> str:
    """Return the local day with its year: "Thu 14 May 2026"."""
    return f"{plain_day_text(at, zone)} {at.astimezone(zone).year}"


def moment_text(at: datetime, zone: tzinfo) -> str:
    """Return a local moment: "Thu 14 May 19:00"."""
    return f"{day_text(at, zone)} {clock_text(at, zone)}"


def seen_from(at: datetime, now_at: datetime, zone: tzinfo) -> str:
    """Return a moment as briefly as it can be understood now: the time alone on the same local day, else with it."""
    same_day = at.astimezone(zone).date() == now_at.astimezone(zone).date()
    return clock_text(at, zone) if same_day else moment_text(at, zone)


def age_text(age: timedelta) -> str:
    """Return how long ago something was: "just now", "5 minutes ago", "3 hours ago", "2 days ago"."""
    minutes = age.total_seconds() / 60.0
    if minutes < 1.5:
        return "just now"
    for size_min, most_min, name in ((1.0, 90.0, "minute"), (60.0, 36 * 60.0, "hour")):
        if minutes < most_min:
            return f"{counted(round(minutes / size_min), name)} ago"
    return f"{counted(round(minutes / 1440.0), 'day')} ago"


def range_text(early: datetime | None, likely: datetime | None, late: datetime | None, zone: tzinfo) -> str:
    """Return when a jar is expected to be ready, in plain words.

    Args:
        early, likely, late: 10, 50 and 90 %, aware; None beyond the horizon of the forecast, or unknown.
        zone: the zone of local days.

    Returns:
        "Thu 14 May to Sat 16 May, most likely Fri 15 May"; within one day "Thu 14 May, 10:00 to 19:00",
        within one minute "Thu 14 May, 10:00".
    """
    if early is None:
        return "later than can be foreseen"
    first = day_text(early, zone)
    middle = "" if likely is None else day_text(likely, zone)
    if late is None:
        return f"not before {first}" + (f", most likely {middle}" if middle and middle != first else "")
    last = day_text(late, zone)
    if first == last:
        return f"{first}, {' to '.join(dict.fromkeys((clock_text(early, zone), clock_text(late, zone))))}"
    return f"{first} to {last}" + (f", most likely {middle}" if middle else "")
