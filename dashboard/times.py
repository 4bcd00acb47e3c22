"""Times in forms: the present as a field shows it, and what was typed."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboard.forms import Form

MINUTE = timedelta(minutes=1)


def local_minute(at: datetime, zone: ZoneInfo) -> str:
    """Return a moment as a field for a local time holds it: "2026-05-14T19:00"."""
    return f"{at.astimezone(zone):%Y-%m-%dT%H:%M}"


def typed_moment(form: Form, name: str, now_at: datetime, zone: ZoneInfo) -> datetime:
    """Return a typed local time; the present where nothing was typed, or the present minute was.

    A field knows no seconds: taken at its word, the present minute would lie before what happened in it.
    """
    at = form.moment(name, zone, now_at)
    return now_at if timedelta() <= now_at - at < MINUTE else at
