from dataclasses import replace
from itertools import pairwise
from statistics import fmean

import pytest

from sim.household import Doings
from sim.moisture import rh_pct
from sim.room import LivedInRoom, Room, RoomAir
from sim.weather import Outside
from tests.sim.models import MILD

NOBODY = Doings(0.0, 0.0, 0.0, 0.0)
PLAIN = Room(floor_m2=12.0, walls_wk=12.0, window_wm2k=1.6)


def lived(
    room: Room,
    hours: float,
    outside: Outside = MILD,
    doings: Doings = NOBODY,
    sky_wm2: float = 0.0,
    step_s: float = 60.0,
) -> list[RoomAir]:
    lived_in = LivedInRoom(room, 1.5, start_c=20.0)
    return [lived_in.step(outside, sky_wm2, 0.0, doings, step_s) for _ in range(round(hours * 3600 / step_s))]


def test_an_empty_room_goes_to_the_temperature_outside_and_not_beyond() -> None:
    air = [one.temp_c for one in lived(PLAIN, 2000, step_s=900.0)]
    assert air[-1] == pytest.approx(MILD.temp_c, abs=0.01)
    assert all(earlier >= later for earlier, later in pairwise(air))


def test_steady_heat_lifts_a_room_by_heat_over_loss() -> None:
    # By energy balance: gain over all that leaves, walls and glass and air; the air film adds a little.
    loss_wk = 12.0 + 1.6 * 1.5 + 1200.0 / 3600.0 * 12.0 * 2.4 * 0.5
    warm = lived(PLAIN, 3000, doings=Doings(200.0, 0.0, 0.0, 0.0), step_s=900.0)[-1]
    assert warm.temp_c - MILD.temp_c == pytest.approx(200.0 / loss_wk, rel=0.08)


def test_steps_of_a_minute_and_of_a_quarter_hour_come_to_the_same() -> None:
    minute, quarter = (lived(PLAIN, 48, step_s=step_s)[-1] for step_s in (60.0, 900.0))
    assert minute.temp_c == pytest.approx(quarter.temp_c, abs=0.02)
    assert minute.moisture_gm3 == pytest.approx(quarter.moisture_gm3, abs=0.02)


def test_a_heater_holds_the_room_near_what_is_wanted() -> None:
    cold = replace(MILD, temp_c=0.0)
    air = lived(replace(PLAIN, heat_to_c=20.0), 72, cold)[1440:]
    assert all(19.0 < one.temp_c < 21.0 for one in air)


def test_a_heater_that_is_too_small_leaves_it_cold() -> None:
    cold = replace(MILD, temp_c=-10.0)
    assert lived(replace(PLAIN, heat_to_c=20.0, heater_w=100.0), 240, cold)[-1].temp_c < 10.0


def test_ground_and_house_pull_towards_themselves() -> None:
    cellar = lived(replace(PLAIN, walls_wk=1.0, ground_wk=80.0), 2000, step_s=900.0)[-1]
    assert cellar.temp_c == pytest.approx(MILD.ground_c, abs=0.5)
    inner = lived(replace(PLAIN, walls_wk=1.0, house_wk=80.0, house_c=21.0), 2000, step_s=900.0)[-1]
    assert inner.temp_c == pytest.approx(21.0, abs=1.2)


def test_sun_on_a_dark_roof_warms_the_loft_below() -> None:
    loft = replace(PLAIN, walls_wk=40.0, walls_sun_c=30.0)
    assert lived(loft, 48, sky_wm2=800.0)[-1].temp_c > lived(loft, 48)[-1].temp_c + 10.0


def test_moisture_comes_to_the_balance_of_source_and_exchange() -> None:
    steam = Doings(0.0, 50.0, 0.0, 0.0)
    last = lived(PLAIN, 200, doings=steam)[-1]
    assert last.moisture_gm3 == pytest.approx(MILD.moisture_gm3 + 50.0 / (0.5 * PLAIN.volume_m3), rel=0.001)


def test_airing_carries_moisture_out() -> None:
    steam, aired = Doings(0.0, 50.0, 0.0, 0.0), Doings(0.0, 50.0, 3.0, 0.0)
    assert lived(PLAIN, 100, doings=aired)[-1].moisture_gm3 < lived(PLAIN, 100, doings=steam)[-1].moisture_gm3


def test_wet_walls_make_a_cellar_damp_but_never_above_saturation() -> None:
    damp = replace(PLAIN, walls_wk=1.0, ground_wk=60.0, wet_m2=2.0, air_per_h=0.1)
    air = lived(damp, 240, replace(MILD, temp_c=16.0))[2880:]
    humidity = [rh_pct(one.moisture_gm3, one.temp_c) for one in air]
    assert fmean(humidity) > 85.0
    assert max(humidity) <= 100.0


def test_much_steam_settles_as_dew() -> None:
    kettle = Doings(0.0, 5000.0, 0.0, 0.0)
    last = lived(PLAIN, 24, doings=kettle)[-1]
    assert rh_pct(last.moisture_gm3, last.temp_c) == pytest.approx(100.0)
