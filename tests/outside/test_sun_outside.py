"""The sun against the NREL algorithm's worked example, and against pvlib, astral and skyfield at four latitudes."""

from datetime import UTC, date, datetime, timedelta, timezone
from importlib.resources import as_file, files
from math import cos, radians, tan
from zoneinfo import ZoneInfo

import astral
import astral.sun
import pandas as pd
import pytest
from pvlib import solarposition
from skyfield import almanac
from skyfield.api import load, wgs84
from skyfield.jpllib import SpiceKernel

from station.domain.sun import Place, SunCourse, sun_day, sun_position

EQUATOR = (Place(0.3, 36.0), ZoneInfo("Africa/Nairobi"))
SOUTH = (Place(-33.9, 18.4), ZoneInfo("Africa/Johannesburg"))
NORTH = (Place(52.1, -4.0), ZoneInfo("Europe/London"))
FAR_NORTH = (Place(69.65, 18.96), ZoneInfo("Europe/Oslo"))
everywhere = pytest.mark.parametrize(("place", "zone"), [EQUATOR, SOUTH, NORTH, FAR_NORTH])
below_60_degrees = pytest.mark.parametrize(("place", "zone"), [EQUATOR, SOUTH, NORTH])

YEAR = [date(2026, 1, 1) + timedelta(days=number) for number in range(365)]
MOMENTS = [datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=7 * number) for number in range(1251)]
A_MINUTE = timedelta(minutes=1)


@pytest.fixture(scope="module")
def solar_system():
    """JPL's DE421 ephemeris, as the package skyfield-data carries it."""
    with as_file(files("skyfield_data") / "data" / "de421.bsp") as path:
        kernel = SpiceKernel(str(path))
        yield kernel
        kernel.close()


def assert_positions_agree(place, others, within_deg):
    """`others` are elevation and azimuth at MOMENTS; an azimuth counts for less the higher the sun stands."""
    for at, elevation_deg, azimuth_deg in zip(MOMENTS, *others, strict=True):
        ours = sun_position(place, at)
        apart_deg = (ours.azimuth_deg - azimuth_deg + 180) % 360 - 180
        assert ours.elevation_deg == pytest.approx(elevation_deg, abs=within_deg)
        assert apart_deg * cos(radians(elevation_deg)) == pytest.approx(0, abs=within_deg)


# Reda & Andreas 2008, NREL/TP-560-34302, table A5.1: 17 October 2003, 12:30:30 at UTC-7, 820 mbar, 11 °C.
GOLDEN = Place(39.742476, -105.1786)
MOUNTAIN = timezone(timedelta(hours=-7))


def test_position_is_as_in_nrels_example():
    position = sun_position(GOLDEN, datetime(2003, 10, 17, 12, 30, 30, tzinfo=MOUNTAIN))
    true_deg = position.elevation_deg
    # Their zenith holds refraction, by the report's equation 42.
    refraction_deg = 820 / 1010 * 283 / (273 + 11) * 1.02 / (60 * tan(radians(true_deg + 10.3 / (true_deg + 5.11))))
    assert 90 - true_deg - refraction_deg == pytest.approx(50.1116, abs=0.0004)
    assert position.azimuth_deg == pytest.approx(194.3402, abs=0.0004)


def test_sunrise_and_sunset_are_as_in_nrels_example():
    rise_at = sun_day(GOLDEN, date(2003, 10, 17), MOUNTAIN).rise_at
    # Theirs are those of the day in UT, in which the sun sets on the local evening before.
    set_at = sun_day(GOLDEN, date(2003, 10, 16), MOUNTAIN).set_at
    assert abs(rise_at - datetime(2003, 10, 17, 6, 12, 43, tzinfo=MOUNTAIN)) < A_MINUTE
    assert abs(set_at - datetime(2003, 10, 16, 17, 20, 19, tzinfo=MOUNTAIN)) < A_MINUTE


@everywhere
def test_position_agrees_with_pvlib(place, zone):
    theirs = solarposition.get_solarposition(
        pd.DatetimeIndex(MOMENTS), place.lat_deg, place.lon_deg, method="nrel_numpy"
    )
    assert_positions_agree(place, (theirs.elevation, theirs.azimuth), within_deg=0.0004)


@everywhere
def test_position_agrees_with_astral(place, zone):
    observer = astral.Observer(place.lat_deg, place.lon_deg)
    elevations_deg = [astral.sun.elevation(observer, at, with_refraction=False) for at in MOMENTS]
    azimuths_deg = [astral.sun.azimuth(observer, at) for at in MOMENTS]
    assert_positions_agree(place, (elevations_deg, azimuths_deg), within_deg=0.015)


@everywhere
def test_position_agrees_with_skyfield(place, zone, solar_system):
    spot = solar_system["earth"] + wgs84.latlon(place.lat_deg, place.lon_deg)
    times = load.timescale(builtin=True).from_datetimes(MOMENTS)
    elevation, azimuth, _ = spot.at(times).observe(solar_system["sun"]).apparent().altaz()
    assert_positions_agree(place, (elevation.degrees, azimuth.degrees), within_deg=0.001)


@below_60_degrees
def test_sunrise_sunset_and_noon_agree_with_pvlib(place, zone):
    midnights = pd.DatetimeIndex([datetime(day.year, day.month, day.day, tzinfo=zone) for day in YEAR])
    theirs = solarposition.sun_rise_set_transit_spa(midnights, place.lat_deg, place.lon_deg)
    for day, rise_at, set_at, noon_at in zip(YEAR, theirs.sunrise, theirs.sunset, theirs.transit, strict=True):
        ours = sun_day(place, day, zone)
        assert abs(ours.rise_at - rise_at) < A_MINUTE
        assert abs(ours.set_at - set_at) < A_MINUTE
        assert abs(ours.noon_at - noon_at) < A_MINUTE


@below_60_degrees
def test_sunrise_sunset_and_twilight_agree_with_astral(place, zone):
    observer = astral.Observer(place.lat_deg, place.lon_deg)
    for day in YEAR[::3]:
        ours = sun_day(place, day, zone)
        theirs = astral.sun.sun(observer, day, tzinfo=zone)
        assert abs(ours.first_light_at - theirs["dawn"]) < A_MINUTE
        assert abs(ours.rise_at - theirs["sunrise"]) < A_MINUTE
        assert abs(ours.set_at - theirs["sunset"]) < A_MINUTE
        assert abs(ours.last_light_at - theirs["dusk"]) < A_MINUTE


def assert_same_times(ours, theirs):
    assert len(ours) == len(theirs) > 0
    assert max(abs(one - other) for one, other in zip(ours, theirs, strict=True)) < timedelta(seconds=2)


@everywhere
def test_all_crossings_of_a_year_agree_with_skyfield_far_north_too(place, zone, solar_system):
    days = [sun_day(place, day, zone) for day in YEAR]
    spot = solar_system["earth"] + wgs84.latlon(place.lat_deg, place.lon_deg)
    scale = load.timescale(builtin=True)
    first, last = (
        scale.from_datetime(days[end].noon_at + timedelta(hours=hours)) for end, hours in ((0, -12), (-1, 12))
    )

    def crossings(find, **horizon):
        times, real = find(spot, solar_system["sun"], first, last, **horizon)
        return [time.utc_datetime() for time, crosses in zip(times, real, strict=True) if crosses]

    assert_same_times([day.rise_at for day in days if day.rise_at], crossings(almanac.find_risings))
    assert_same_times([day.set_at for day in days if day.set_at], crossings(almanac.find_settings))
    first_lights = crossings(almanac.find_risings, horizon_degrees=-6)
    assert_same_times([day.first_light_at for day in days if day.first_light_at], first_lights)
    last_lights = crossings(almanac.find_settings, horizon_degrees=-6)
    assert_same_times([day.last_light_at for day in days if day.last_light_at], last_lights)


def test_the_polar_night_is_as_long_as_skyfields(solar_system):
    place, zone = FAR_NORTH
    spot = solar_system["earth"] + wgs84.latlon(place.lat_deg, place.lon_deg)
    times = load.timescale(builtin=True).from_datetimes([sun_day(place, day, zone).noon_at for day in YEAR])
    elevation, _, _ = spot.at(times).observe(solar_system["sun"]).apparent().altaz()
    never_up = [sun_day(place, day, zone).course is SunCourse.NEVER_UP for day in YEAR]
    assert 0 < sum(never_up) < 100
    assert never_up == [noon_deg < -50 / 60 for noon_deg in elevation.degrees]
