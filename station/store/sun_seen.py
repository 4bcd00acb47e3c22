"""The sun as the station's own log has seen it."""

from datetime import datetime, tzinfo
from functools import lru_cache
from pathlib import Path

from station.domain.coming_sun import ComingSun, coming_sun
from station.domain.sun import Place
from station.domain.sunwindow import FORGET_AFTER
from station.store.shelf_reader import ShelfReader


def sun_seen(
    shelf: ShelfReader, place: Place, limit_lx: float, now_at: datetime, zone: tzinfo, moved_at: datetime | None = None
) -> ComingSun:
    """Return from where the sun has reached the shelf, and when it will today and tomorrow if the sky is clear.

    Args:
        shelf: the shelf log; only the last half a year is looked at, however long it is.
        place: where the shelf is.
        limit_lx: the light of direct sun: `limits.sun_lx` of the settings.
        now_at: the present, aware.
        zone: of local days.
        moved_at: when the station was last moved, as `ShelfMoves.last_at` tells.

    Returns:
        What was known at the last full hour: it takes a fifth of a second, so a page that is asked often gets it again.
    """
    hour_at = now_at.replace(minute=0, second=0, microsecond=0)
    return _known(shelf.path, place, limit_lx, hour_at, zone, moved_at)


@lru_cache(maxsize=2)
def _known(
    path: Path, place: Place, limit_lx: float, at: datetime, zone: tzinfo, moved_at: datetime | None
) -> ComingSun:
    since_at = max(at - FORGET_AFTER, moved_at or at - FORGET_AFTER)
    return coming_sun(place, ShelfReader(path).lit(limit_lx, since_at, at), at, zone, moved_at)
