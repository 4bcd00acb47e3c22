from dataclasses import replace

import pytest

from sim.jar import Jar
from sim.weather import Climate, Spell
from sim.window import Window, reaches_shelf
from sim.world import Shelf, World
from station.domain.sun import Place, sun_position
from station.errors import JarsideError
from tests.sim.models import START, a_scenario

SUNNY = Climate(cloud=0.1, spells=(Spell((-5.0, 9.0), cloud_steps=-4.0),))
WEST = Window(azimuth_deg=250.0, distance_m=0.8, width_m=1.0, height_m=1.2, sill_m=0.0)


def shelves(days: float = 1.0, **changes: object) -> list[Shelf]:
    world = World(a_scenario(**changes))
    return [world.at(60.0 * minute) for minute in range(round(days * 1440))]


def test_the_same_scenario_gives_the_same_world_twice() -> None:
    jars = (Jar("dandelion-1", "dandelion"),)
    assert shelves(jars=jars) == shelves(jars=jars)


def test_another_seed_gives_another_world() -> None:
    assert shelves(0.1) != shelves(0.1, seed=2)


def test_looking_seldom_or_often_makes_no_difference() -> None:
    often, seldom = World(a_scenario()), World(a_scenario())
    for second in range(0, 7200, 7):
        often.at(float(second))
    assert often.at(7200.0) == seldom.at(7200.0)


def test_a_jar_more_changes_nothing_else() -> None:
    plain, with_jar = shelves(0.5), shelves(0.5, jars=(Jar("dandelion-1", "dandelion"),))
    assert [replace(shelf, jars=()) for shelf in with_jar] == plain


def test_time_runs_forward_only() -> None:
    world = World(a_scenario())
    world.at(600.0)
    world.at(659.0)
    with pytest.raises(JarsideError, match="cannot go back"):
        world.at(599.0)


def test_the_shelf_says_when_it_is() -> None:
    assert World(a_scenario()).at(0.0).at == START
    assert World(a_scenario()).at(179.0).at.minute == 2


def test_sun_falls_on_the_shelf_exactly_while_it_stands_in_the_glass() -> None:
    place = Place(50.0, 8.0)
    day = shelves(climate=SUNNY, window=WEST)
    lit = [shelf for shelf in day if shelf.direct_sun]
    assert len(lit) > 60
    assert all(reaches_shelf(WEST, sun_position(place, shelf.at)) for shelf in lit[1:-1])
    inside = [shelf for shelf in day if reaches_shelf(WEST, sun_position(place, shelf.at))]
    assert abs(len(inside) - len(lit)) <= 0.1 * len(inside) + 2  # a cloud may pass


def test_a_sensor_in_the_sun_reads_too_warm_and_too_dry() -> None:
    day = shelves(climate=SUNNY, window=WEST)
    lit = max(day, key=lambda shelf: shelf.beam_wm2)
    later = day[min(day.index(lit) + 20, len(day) - 1)]
    assert later.sensor_c > later.temp_c + 2.0
    assert later.sensor_rh_pct < later.rh_pct - 5.0
    night = day[20 * 60]
    assert not night.direct_sun
    assert night.sensor_c == pytest.approx(night.temp_c, abs=0.01)


def test_sun_warms_the_jars_on_the_shelf() -> None:
    jars = (Jar("dandelion-1", "dandelion"),)
    day = shelves(climate=SUNNY, window=WEST, jars=jars)
    assert max(shelf.jars[0].temp_c - shelf.temp_c for shelf in day) > 3.0


def test_a_jar_is_asked_for_by_name() -> None:
    shelf = World(a_scenario(jars=(Jar("dandelion-1", "dandelion"),))).at(60.0)
    assert shelf.jar("dandelion-1").packed
    with pytest.raises(JarsideError, match="sorrel-1"):
        shelf.jar("sorrel-1")


@pytest.mark.parametrize(("month", "least_c", "most_c"), [(1, 5.0, 20.0), (7, 15.0, 35.0)])
def test_winter_and_summer_pass_without_surprise(month: int, least_c: float, most_c: float) -> None:
    week = shelves(5.0, start_at=START.replace(month=month))
    assert all(least_c < shelf.temp_c < most_c and 0.0 < shelf.rh_pct <= 100.0 for shelf in week)
    assert all(0.0 <= shelf.light_lx < 100_000.0 for shelf in week)
    assert max(shelf.light_lx for shelf in week) > 300.0
