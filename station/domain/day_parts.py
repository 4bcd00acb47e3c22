"""A time as the part of a day, where minutes would say more than is known: "this evening", "last night"."""

from datetime import datetime, timedelta, tzinfo

from station.domain.moments import day_text

_MORNING_FROM = timedelta(hours=5)
"""A night belongs to the day before it."""
_PARTS = ((7, "morning"), (13, "afternoon"), (17, "evening"))
"""Until how many hours after five each part lasts: noon, six, ten; then it is night."""


def part_seen_from(at: datetime, now_at: datetime, zone: tzinfo) -> str:
    """Return a time as the part of its day: "this morning", "tomorrow night", "Thu 14 May" beyond a day.

    Args:
        at: the time, aware.
        now_at: the present, aware.
        zone: of local times.
    """
    local, now = (one.astimezone(zone) - _MORNING_FROM for one in (at, now_at))
    part = next((name for until_h, name in _PARTS if local.hour < until_h), "night")
    match (local.date() - now.date()).days:
        case 0:
            return "tonight" if part == "night" else f"this {part}"
        case 1:
            return f"tomorrow {part}"
        case -1:
            return "last night" if part == "night" else f"yesterday {part}"
    return day_text(at, zone)
