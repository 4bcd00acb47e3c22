"""The sun over a place: where it stands, and the times of a day that follow from it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from enum import StrEnum
from math import degrees, radians

import ephem

from station.domain.readings import aware
from station.errors import JarsideError

HORIZON_DEG = -50 / 60
"""Elevation of the sun's centre at sunrise and sunset: 34' of refraction and 16' of radius (US Naval Observatory)."""

CIVIL_DEG = -6.0
"""Elevation at the ends of civil twilight, when there is just light enough to work outdoors (US Naval Observatory)."""

HALF_DAY = 0.51
"""In days, with a little over for the difference between the sun's day and the clock's."""

PICKING_AFTER_RISE = timedelta(hours=2)
"""How long after sunrise the dew is still on the leaves: common practice says pick early; about two hours."""


@dataclass(frozen=True, slots=True)
class Place:
    """A point on the earth.

    Args:
        lat_deg: latitude in °, -90 to 90, north positive.
        lon_deg: longitude in °, -180 to 180, east positive.

    Raises:
        JarsideError: a value is outside its range or not a number.
    """

    lat_deg: float
    lon_deg: float

    def __post_init__(self) -> None:
        if not -90.0 <= self.lat_deg <= 90.0:
            raise JarsideError(f"latitude {self.lat_deg}°", "Give one from -90 (south) to 90 (north).")
        if not -180.0 <= self.lon_deg <= 180.0:
            raise JarsideError(f"longitude {self.lon_deg}°", "Give one from -180 (west) to 180 (east).")


@dataclass(frozen=True, slots=True)
class SunPosition:
    """Where the sun's centre stands.

    Args:
        elevation_deg: angle above the horizon in °, without refraction; negative below.
        azimuth_deg: direction in °, 0 to 360, clockwise from north.
    """

    elevation_deg: float
    azimuth_deg: float


class SunCourse(StrEnum):
    """What the sun does in a day."""

    RISES = "rises"
    """It crosses the horizon at least once."""
    ALWAYS_UP = "always up"
    NEVER_UP = "never up"


@dataclass(frozen=True, slots=True)
class SunDay:
    """The sun's times on one local day, aware UTC, each None when it does not happen.

    They are the times that belong to the day's noon: in the far north a June day's sunset may come after midnight.

    Args:
        course: whether the sun crosses the horizon.
        noon_at: when the sun stands highest.
        first_light_at: begin of civil twilight in the morning; None too when twilight lasts all night.
        rise_at, set_at: the sun's upper edge crosses the horizon.
        last_light_at: end of civil twilight in the evening.
    """

    course: SunCourse
    noon_at: datetime
    first_light_at: datetime | None
    rise_at: datetime | None
    set_at: datetime | None
    last_light_at: datetime | None


@dataclass(frozen=True, slots=True)
class PickingWindow:
    """When to pick, while dew is on the leaves; both ends aware UTC."""

    begins_at: datetime
    ends_at: datetime


def sun_position(place: Place, at: datetime) -> SunPosition:
    """Where the sun stands.

    Args:
        place: seen from where.
        at: aware time.

    Raises:
        JarsideError: `at` is naive.

    Source: the VSOP87-based ephemeris of the `ephem` library; within 0.0004° of the NREL algorithm (pvlib).
    """
    observer = _observer(place, at)
    sun = ephem.Sun(observer)
    return SunPosition(elevation_deg=degrees(sun.alt), azimuth_deg=degrees(sun.az))


def sun_is_up(place: Place, at: datetime) -> bool:
    """Whether any part of the sun is above a flat horizon, by the same measure as sunrise and sunset.

    Args:
        place: seen from where.
        at: aware time.

    Raises:
        JarsideError: `at` is naive.
    """
    return sun_position(place, at).elevation_deg > HORIZON_DEG


def sun_day(place: Place, day: date, zone: tzinfo) -> SunDay:
    """The sun's times on a local calendar day.

    Args:
        place: seen from where.
        day: the calendar day in `zone`.
        zone: the zone in which people there count days, such as a `ZoneInfo`.

    Returns:
        The times that belong to the first noon after the day's local midnight. A polar day or night is a value.

    Source: sunrise, sunset and civil twilight as the US Naval Observatory defines them, found by the `ephem` library,
    to a second or two (seconds beyond 80° of latitude). Within half a degree of a pole, where the sun skims the horizon
    for days, a time may be off by minutes or missing.
    """
    observer = _observer(place, datetime.combine(day, time.min, zone))
    noon = observer.next_transit(ephem.Sun())
    observer.date = noon
    rise_at, set_at = _crossings(observer, HORIZON_DEG)
    first_light_at, last_light_at = _crossings(observer, CIVIL_DEG)
    course = _course(ephem.Sun(observer), crosses=rise_at is not None or set_at is not None)
    return SunDay(course, _utc(noon), first_light_at, rise_at, set_at, last_light_at)


def picking_window(place: Place, day: date, zone: tzinfo) -> PickingWindow | None:
    """When to pick on a local calendar day: from first light to about two hours after sunrise.

    Args:
        place: seen from where.
        day: the calendar day in `zone`.
        zone: the zone in which people there count days.

    Returns:
        The window, or None when the sun does not rise. Where twilight lasts all night it begins with the sun lowest.

    Source: common practice (pick early, while dew is on the leaves).
    """
    times = sun_day(place, day, zone)
    if times.rise_at is None:
        return None
    return PickingWindow(times.first_light_at or _lowest_at(place, times.noon_at), times.rise_at + PICKING_AFTER_RISE)


def _observer(place: Place, at: datetime) -> ephem.Observer:
    # A new one each time: it costs half a microsecond, and a shared one would change under a neighbour thread's feet.
    observer = ephem.Observer()
    observer.lat = radians(place.lat_deg)
    observer.lon = radians(place.lon_deg)
    observer.pressure = 0.0  # no refraction: the horizons above already hold it
    observer.date = aware(at).astimezone(UTC)  # ephem reads the digits and ignores the offset
    return observer


def _crossings(observer: ephem.Observer, horizon_deg: float) -> tuple[datetime | None, datetime | None]:
    """When the sun's centre crosses `horizon_deg` upwards before, and downwards after, the observer's noon."""
    observer.horizon = radians(horizon_deg)
    return _crossing(observer, observer.previous_rising), _crossing(observer, observer.next_setting)


def _crossing(observer: ephem.Observer, find: Callable[..., ephem.Date]) -> datetime | None:
    try:
        found = find(ephem.Sun(), use_center=True)
    except (ephem.AlwaysUpError, ephem.NeverUpError):
        return None
    # At the edge of a polar night ephem answers with the crossing of the day before or after.
    return _utc(found) if abs(found - observer.date) < HALF_DAY else None


def _course(noon_sun: ephem.Sun, *, crosses: bool) -> SunCourse:
    if crosses:
        return SunCourse.RISES
    return SunCourse.ALWAYS_UP if degrees(noon_sun.alt) > HORIZON_DEG else SunCourse.NEVER_UP


def _lowest_at(place: Place, noon_at: datetime) -> datetime:
    return _utc(_observer(place, noon_at).previous_antitransit(ephem.Sun()))


def _utc(moment: ephem.Date) -> datetime:
    naive: datetime = moment.datetime()
    return naive.replace(tzinfo=UTC)
