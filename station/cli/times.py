"""Times as people type them and read them, and the present."""

import re
from datetime import UTC, datetime, timedelta, tzinfo

import click

from station.cli.frame import App
from station.domain.dates import moment_from
from station.errors import JarsideError

at_option = click.option(
    "--at", metavar="TIME", help="When, if not now: 2026-05-14T07:00, 07:00 today, 'yesterday 19:00'; local time."
)


def now() -> datetime:
    """Return the present time, aware UTC, to the second."""
    from station.clock import SystemClock

    return SystemClock().now().replace(microsecond=0)


def said_at(app: App, text: str | None) -> datetime:
    """Return the time that was said, or the present.

    Raises:
        JarsideError: it is not a time.
    """
    return moment(text, app.zone) if text else now()


def moment(text: str, zone: tzinfo) -> datetime:
    """Return the time that a person typed, as aware UTC.

    Args:
        text: ISO 8601, such as 2026-05-14T19:00 or "2026-05-14 19:00"; without an offset it is local time. A time of
            day alone is of today, or of yesterday if it says so: "07:00", "yesterday 19:00".
        zone: the local zone.

    Raises:
        JarsideError: it is not a time.
    """
    try:
        return moment_from(_with_day(text.strip(), zone), zone).astimezone(UTC)
    except JarsideError:
        raise JarsideError(
            f"{text!r} is not a time", "Write it as 2026-05-14T19:00, as 19:00 today or as 'yesterday 19:00'."
        ) from None


_OF_DAY = re.compile(r"(?:(today|yesterday)\s+)?(\d{1,2}:\d{2})", re.IGNORECASE)


def _with_day(text: str, zone: tzinfo) -> str:
    match = _OF_DAY.fullmatch(text)
    if match is None:
        return text
    day = now().astimezone(zone).date() - timedelta(days=(match[1] or "").lower() == "yesterday")
    return f"{day.isoformat()}T{match[2]:0>5}"


def when_text(app: App, at: datetime) -> str:
    """Return a moment as briefly as it can be understood now, in the user's zone."""
    from station.domain.moments import seen_from

    return seen_from(at, now(), app.zone)
