from datetime import UTC, date, datetime, timedelta, timezone
from math import nan
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from station.domain.sun import (
    PICKING_AFTER_RISE,
    Place,
    SunCourse,
    picking_window,
    sun_day,
    sun_is_up,
    sun_position,
)
from station.errors import JarsideError

TOWN = Place(52.1, -4.0)
LONDON = ZoneInfo("Europe/London")
FAR_NORTH = Place(69.65, 18.96)
OSLO = ZoneInfo("Europe/Oslo")
A_SECOND = timedelta(seconds=1)

places = st.builds(Place, st.floats(-90, 90), st.floats(-180, 180))
days = st.dates(date(2024, 1, 1), date(2040, 12, 31))
moments = st.datetimes(datetime(2024, 1, 1), datetime(2040, 12, 31), timezones=st.just(UTC))  # noqa: DTZ001


def zone_at(place):
    """The zone whose noon is the sun's, to the hour."""
    return timezone(timedelta(hours=round(place.lon_deg / 15)))


@pytest.mark.parametrize(("lat_deg", "lon_deg"), [(95, 0), (-90.1, 0), (nan, 0), (0, 181), (0, -180.5), (0, nan)])
def test_a_place_that_is_not_on_the_earth_is_refused(lat_deg, lon_deg):
    with pytest.raises(JarsideError) as refused:
        Place(lat_deg, lon_deg)
    assert "itude" in refused.value.what
    assert refused.value.remedy


@given(place=places, at=moments)
def test_the_sun_stands_somewhere_for_every_place_and_time(place, at):
    position = sun_position(place, at)
    assert -90 <= position.elevation_deg <= 90
    assert 0 <= position.azimuth_deg <= 360


def test_the_offset_of_a_time_does_not_matter():
    at = datetime(2026, 6, 21, 12, 0, tzinfo=UTC)
    assert sun_position(TOWN, at.astimezone(ZoneInfo("Asia/Tokyo"))) == sun_position(TOWN, at)


@pytest.mark.parametrize("ask", [sun_position, sun_is_up])
def test_a_naive_time_is_refused(ask):
    with pytest.raises(JarsideError, match="naive"):
        ask(TOWN, datetime(2026, 6, 21, 12, 0))  # noqa: DTZ001


@given(place=st.builds(Place, st.floats(-60, 60), st.floats(-180, 180)), day=days)
def test_on_an_ordinary_day_light_comes_and_goes_in_order(place, day):
    times = sun_day(place, day, zone_at(place))
    assert times.course is SunCourse.RISES
    assert times.first_light_at < times.rise_at < times.noon_at < times.set_at < times.last_light_at


@given(place=st.builds(Place, st.floats(-60, 60), st.floats(-180, 180)), day=days)
def test_the_sun_is_up_between_rising_and_setting_only(place, day):
    times = sun_day(place, day, zone_at(place))
    assert not sun_is_up(place, times.rise_at - A_SECOND)
    assert sun_is_up(place, times.rise_at + A_SECOND)
    assert sun_is_up(place, times.noon_at)
    assert sun_is_up(place, times.set_at - A_SECOND)
    assert not sun_is_up(place, times.set_at + A_SECOND)


@given(place=st.builds(Place, st.floats(-85, 85), st.floats(-180, 180)), day=days)
@example(place=Place(75.75, 0.0), day=date(2024, 11, 3))  # the library answered with the day before
def test_every_place_has_every_day(place, day):
    times = sun_day(place, day, zone_at(place))
    crosses = times.rise_at is not None or times.set_at is not None
    assert (times.course is SunCourse.RISES) is crosses
    if not crosses:
        assert (times.course is SunCourse.ALWAYS_UP) is sun_is_up(place, times.noon_at)
    happening = [at for at in (times.first_light_at, times.rise_at, times.noon_at, times.set_at) if at]
    assert happening == sorted(happening)


@given(place=places, day=days)
def test_noon_falls_on_the_local_day(place, day):
    zone = zone_at(place)
    noon_at = sun_day(place, day, zone).noon_at.astimezone(zone)
    assert noon_at.date() == day
    assert 11 <= noon_at.hour <= 13


def test_the_local_day_counts_and_not_the_utc_day():
    apia = Place(-13.83, -171.77)  # 13 hours ahead of UTC
    times = sun_day(apia, date(2026, 3, 10), ZoneInfo("Pacific/Apia"))
    assert times.rise_at.date() == date(2026, 3, 9)
    assert times.rise_at.astimezone(ZoneInfo("Pacific/Apia")).date() == date(2026, 3, 10)


def test_a_day_whose_midnight_is_left_out_by_the_clocks_has_its_sun():
    times = sun_day(Place(33.89, 35.5), date(2026, 3, 29), ZoneInfo("Asia/Beirut"))
    assert times.course is SunCourse.RISES
    assert times.rise_at.astimezone(ZoneInfo("Asia/Beirut")).date() == date(2026, 3, 29)


def test_a_polar_day_is_a_value():
    times = sun_day(FAR_NORTH, date(2026, 6, 21), OSLO)
    assert times.course is SunCourse.ALWAYS_UP
    assert (times.first_light_at, times.rise_at, times.set_at, times.last_light_at) == (None,) * 4
    assert sun_is_up(FAR_NORTH, times.noon_at - timedelta(hours=12))


def test_a_polar_night_has_twilight_about_noon():
    times = sun_day(FAR_NORTH, date(2026, 12, 21), OSLO)
    assert times.course is SunCourse.NEVER_UP
    assert (times.rise_at, times.set_at) == (None, None)
    assert times.first_light_at < times.noon_at < times.last_light_at
    assert not sun_is_up(FAR_NORTH, times.noon_at)


@pytest.mark.parametrize("lat_deg", [90, -90])
def test_at_a_pole_there_are_polar_days_and_nights(lat_deg):
    courses = {sun_day(Place(lat_deg, 0), date(2026, month, 21), UTC).course for month in (6, 12)}
    assert courses == {SunCourse.ALWAYS_UP, SunCourse.NEVER_UP}


def test_where_the_polar_day_begins_the_sun_rises_once_and_does_not_set():
    begun = [sun_day(FAR_NORTH, date(2026, 5, day), OSLO) for day in range(10, 25)]
    last = max(number for number, times in enumerate(begun) if times.rise_at)
    assert begun[last].set_at is None
    assert begun[last].course is SunCourse.RISES
    assert begun[last + 1].course is SunCourse.ALWAYS_UP


def test_one_picks_from_first_light_to_two_hours_after_sunrise():
    times = sun_day(TOWN, date(2026, 5, 4), LONDON)
    window = picking_window(TOWN, date(2026, 5, 4), LONDON)
    assert window.begins_at == times.first_light_at
    assert window.ends_at == times.rise_at + PICKING_AFTER_RISE


@pytest.mark.parametrize("day", [date(2026, 6, 21), date(2026, 12, 21)])
def test_there_is_no_picking_window_when_the_sun_does_not_rise(day):
    assert picking_window(FAR_NORTH, day, OSLO) is None


def test_in_a_night_of_twilight_one_picks_from_the_darkest_moment():
    north = Place(63.43, 10.4)
    times = sun_day(north, date(2026, 6, 10), OSLO)
    window = picking_window(north, date(2026, 6, 10), OSLO)
    assert times.first_light_at is None
    darkest = sun_position(north, window.begins_at).elevation_deg
    around = [window.begins_at + timedelta(minutes=minute) for minute in range(-60, 61, 10)]
    assert darkest <= min(sun_position(north, at).elevation_deg for at in around) + 0.001
    assert window.begins_at < times.rise_at
