"""Days and times as people type them, within the years that a log or a notebook can be about."""

from datetime import date, datetime, tzinfo

from station.errors import JarsideError

FIRST_YEAR, LAST_YEAR = 1970, 9000
"""Nothing before or after them can be meant, and next to the ends of the calendar no day can be reckoned."""


def in_known_years(day: date) -> bool:
    """Whether a day or a time lies in the years that can be meant."""
    return FIRST_YEAR <= day.year <= LAST_YEAR


def day_from(text: str) -> date:
    """Return a typed day.

    Args:
        text: such as `2026-05-14`.

    Raises:
        JarsideError: it cannot be read, or lies in a year that cannot be meant.
    """
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        day = None
    if day is None or not in_known_years(day):
        raise JarsideError(f"{text[:40]!r} is not a day", "Write it as 2026-05-14.")
    return day


def moment_from(text: str, zone: tzinfo) -> datetime:
    """Return a typed time, aware.

    Args:
        text: ISO 8601, such as `2026-05-14T19:00`; without an offset it is local.
        zone: the local zone.

    Raises:
        JarsideError: it cannot be read, or lies in a year that cannot be meant.
    """
    try:
        typed = datetime.fromisoformat(text.strip())
    except ValueError:
        typed = None
    if typed is None or not in_known_years(typed):
        raise JarsideError(f"{text[:40]!r} is not a time", "Write it as 2026-05-14T19:00.")
    return typed if typed.tzinfo else typed.replace(tzinfo=zone)
