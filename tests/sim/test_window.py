import math
from dataclasses import replace

import pytest

from sim.sky import sky
from sim.window import Opening, Window, incidence, reaches_shelf, view_share
from station.domain.sun import SunPosition

# One metre square, its lower edge level with jars that stand one metre straight behind it, looking south.
SQUARE = Window(azimuth_deg=180.0, width_m=1.0, height_m=1.0, sill_m=0.0, distance_m=1.0, skyline_deg=0.0)
CLEAR = sky(30.0, 0.0, sun_covered=False)


def the_sun(elevation_deg: float, azimuth_deg: float) -> SunPosition:
    return SunPosition(elevation_deg, azimuth_deg)


def test_sun_reaches_the_shelf_from_straight_ahead() -> None:
    assert reaches_shelf(SQUARE, the_sun(30.0, 180.0))


def test_the_azimuth_range_is_that_of_the_glass_seen_from_the_shelf() -> None:
    half_deg = math.degrees(math.atan(0.5))  # half a metre to the side at a distance of one
    for side in (-1.0, 1.0):
        assert reaches_shelf(SQUARE, the_sun(20.0, 180.0 + side * (half_deg - 0.1)))
        assert not reaches_shelf(SQUARE, the_sun(20.0, 180.0 + side * (half_deg + 0.1)))


def test_the_elevation_range_is_that_of_the_glass_seen_from_the_shelf() -> None:
    assert reaches_shelf(SQUARE, the_sun(44.9, 180.0))
    assert not reaches_shelf(SQUARE, the_sun(45.1, 180.0))
    raised = replace(SQUARE, sill_m=0.5)
    assert not reaches_shelf(raised, the_sun(math.degrees(math.atan(0.5)) - 0.1, 180.0))
    assert reaches_shelf(raised, the_sun(math.degrees(math.atan(0.5)) + 0.1, 180.0))


def test_a_window_to_the_right_lets_the_sun_in_from_the_right() -> None:
    aside = replace(SQUARE, offset_m=1.0)
    assert reaches_shelf(aside, the_sun(20.0, 180.0 + 45.0))
    assert not reaches_shelf(aside, the_sun(20.0, 180.0 - 45.0))
    assert not reaches_shelf(aside, the_sun(20.0, 180.0))


def test_no_sun_comes_from_behind_or_from_below_the_skyline() -> None:
    assert incidence(SQUARE, the_sun(20.0, 0.0)) == 0.0
    assert not reaches_shelf(SQUARE, the_sun(20.0, 0.0))
    assert not reaches_shelf(replace(SQUARE, skyline_deg=25.0), the_sun(20.0, 180.0))
    assert not reaches_shelf(SQUARE, the_sun(-1.0, 180.0))


def test_azimuths_on_both_sides_of_north_belong_together() -> None:
    north = replace(SQUARE, azimuth_deg=350.0)
    assert reaches_shelf(north, the_sun(20.0, 5.0))
    assert reaches_shelf(north, the_sun(20.0, 335.0))


def test_a_shelf_on_the_sill_gets_sun_far_longer_than_one_across_the_room() -> None:
    def azimuths(distance_m: float) -> int:
        window = replace(SQUARE, distance_m=distance_m)
        return sum(reaches_shelf(window, the_sun(10.0, azimuth)) for azimuth in range(91, 270))

    assert azimuths(0.2) > 2 * azimuths(1.0) > 4 * azimuths(3.0) > 0


def test_direct_sun_lights_the_shelf_and_diffuse_light_alone_does_not_count_as_sun() -> None:
    opening = Opening(SQUARE, walls_m2=50.0)
    lit, unlit = (opening.daylight(CLEAR, the_sun(30.0, azimuth), 12.0) for azimuth in (180.0, 240.0))
    assert lit.beam_wm2 > 120.0
    assert lit.shelf_lx > 10_000.0
    assert unlit.beam_wm2 == 0.0
    assert 0.0 < unlit.shelf_lx < 7000.0


def test_the_glass_dims_what_comes_through() -> None:
    clear, dim = (
        Opening(replace(SQUARE, transmittance=share), 50.0).daylight(CLEAR, the_sun(30.0, 180.0), 12.0)
        for share in (0.8, 0.4)
    )
    assert dim.shelf_lx == pytest.approx(clear.shelf_lx / 2)
    assert dim.heat_w == pytest.approx(clear.heat_w / 2)


def test_a_blind_is_drawn_in_its_hours_even_over_midnight() -> None:
    opening = Opening(replace(SQUARE, blind_h=(21.0, 8.0), blind_passes=0.1), 50.0)
    light = {hour: opening.daylight(CLEAR, the_sun(30.0, 180.0), hour).shelf_lx for hour in (7.0, 12.0, 22.0)}
    assert light[7.0] == pytest.approx(light[22.0]) == pytest.approx(0.1 * light[12.0])


def test_the_view_of_the_sky_fills_up_close_to_the_glass() -> None:
    centred = replace(SQUARE, sill_m=-0.5)
    # Howell's catalogue, B-4: four quarters, each of a square with a half-side of half the distance.
    a = 0.5
    quarter = a / math.sqrt(1 + a * a) * math.atan(a / math.sqrt(1 + a * a)) / math.pi
    assert view_share(centred) == pytest.approx(4 * quarter)
    assert view_share(replace(centred, distance_m=0.001)) == pytest.approx(1.0, abs=1e-4)
    assert view_share(replace(centred, distance_m=100.0)) == pytest.approx(1.0 / (math.pi * 1e4), rel=1e-3)


def test_a_dark_sky_lets_nothing_in() -> None:
    day = Opening(SQUARE, 50.0).daylight(sky(-30.0, 0.0, sun_covered=False), the_sun(-30.0, 0.0), 0.0)
    assert (day.shelf_lx, day.beam_wm2, day.heat_w) == (0.0, 0.0, 0.0)
