"""What the sun does next: when to pick, and when it will fall on the shelf."""

from datetime import date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from dashboard.views.manner import Manner
from station.domain.coming_sun import ComingSun, spells_text, tomorrow_text
from station.domain.moments import clock_text, day_text
from station.domain.sun import PickingWindow, Place, picking_window


@lru_cache(maxsize=16)
def _window(place: Place, day: date, zone: ZoneInfo) -> PickingWindow | None:
    return picking_window(place, day, zone)


def next_picking(now_at: datetime, manner: Manner) -> PickingWindow | None:
    """Return the window to pick in: this morning's while it lasts, else tomorrow's; None where none is known."""
    if manner.place is None:
        return None
    today = now_at.astimezone(manner.zone).date()
    window = _window(manner.place, today, manner.zone)
    if window is None or now_at >= window.ends_at:
        window = _window(manner.place, today + timedelta(days=1), manner.zone)
    return window


def picking_text(now_at: datetime, manner: Manner) -> str:
    """Say when to pick next: this morning while its window lasts, else tomorrow; "" where the place is not known."""
    if manner.place is None:
        return ""
    window = next_picking(now_at, manner)
    if window is None:
        return "The sun does not rise tomorrow: pick while it is cool and damp."
    begins, ends = clock_text(window.begins_at, manner.zone), clock_text(window.ends_at, manner.zone)
    return f"Pick from {begins} to {ends} on {day_text(window.ends_at, manner.zone)}, while dew is on; not after rain."


def sun_text(sun: ComingSun | None, now_at: datetime, manner: Manner) -> str:
    """Say when direct sun will fall on the shelf, today and tomorrow; "" until it was seen there on two days.

    Args:
        sun: what the log tells of it; None where the place is not known.
        now_at: the present; what is over today is not named.
        manner: the zone.
    """
    if sun is None or not sun.windows:
        return ""
    to_come = [spell for spell in sun.today if spell.ended_at > now_at]
    today = f"Direct sun today {spells_text(to_come, manner.zone)} if the sky is clear. " if to_come else ""
    return today + tomorrow_text(sun, manner.zone)
