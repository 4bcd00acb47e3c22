"""What the sun does next: when to pick, and when it will fall on the shelf."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from dashboard.views.manner import Manner
from station.domain.sentences import clock_text, day_text
from station.domain.sun import PickingWindow, Place, picking_window
from station.domain.sunwindow import SunSpell, SunWindow, expected_sun


@lru_cache(maxsize=16)
def _window(place: Place, day: date, zone: ZoneInfo) -> PickingWindow | None:
    return picking_window(place, day, zone)


def picking_text(now_at: datetime, manner: Manner) -> str:
    """Say when to pick next: this morning while its window lasts, else tomorrow; "" where the place is not known."""
    if manner.place is None:
        return ""
    today = now_at.astimezone(manner.zone).date()
    window = _window(manner.place, today, manner.zone)
    if window is None or now_at >= window.ends_at:
        window = _window(manner.place, today + timedelta(days=1), manner.zone)
    if window is None:
        return "The sun does not rise tomorrow: pick while it is cool and damp."
    begins, ends = clock_text(window.begins_at, manner.zone), clock_text(window.ends_at, manner.zone)
    return f"Pick from {begins} to {ends} on {day_text(window.ends_at, manner.zone)}, while dew is on; not after rain."


def sun_text(windows: Iterable[SunWindow], now_at: datetime, manner: Manner) -> str:
    """Say when the sun will fall on the shelf tomorrow if the sky is clear; "" where nothing is known of it.

    Args:
        windows: through which it has reached the shelf.
        now_at: the present.
        manner: zone and place.
    """
    spells = tuple(_spells(tuple(windows), now_at, manner))
    if not spells:
        return ""
    times = [f"{clock_text(one.began_at, manner.zone)} to {clock_text(one.ended_at, manner.zone)}" for one in spells]
    return f"The sun reaches the shelf tomorrow {' and '.join(times)} if the sky is clear."


def _spells(windows: tuple[SunWindow, ...], now_at: datetime, manner: Manner) -> Iterator[SunSpell]:
    if manner.place is None:
        return
    tomorrow = now_at.astimezone(manner.zone).date() + timedelta(days=1)
    for window in windows:
        spell = expected_sun(manner.place, window, tomorrow, manner.zone)
        if spell is not None:
            yield spell
