from importlib import resources

import pytest

from sim.scenario import load, names, parsed
from station.errors import SettingsError

KITCHEN = resources.files("sim").joinpath("scenarios/ordinary-kitchen.toml").read_text(encoding="utf-8")


def changed(before: str, after: str) -> str:
    assert before in KITCHEN
    return KITCHEN.replace(before, after, 1)


def complaint(text: str) -> SettingsError:
    with pytest.raises(SettingsError) as caught:
        parsed(text, "mine")
    return caught.value


def test_the_scenarios_that_come_along_are_all_there() -> None:
    assert set(names()) >= {
        "ordinary-kitchen",
        "window-sill-may",
        "cold-scullery-march",
        "heatwave-loft",
        "damp-cellar",
        "dying-sensor",
        "no-network-time",
    }


@pytest.mark.parametrize("name", names())
def test_every_scenario_loads_and_says_what_it_is(name: str) -> None:
    scenario = load(name)
    assert scenario.name == name
    assert scenario.title
    assert scenario.about
    assert scenario.start_at.tzinfo is not None


def test_an_unknown_scenario_names_those_there_are() -> None:
    with pytest.raises(SettingsError) as caught:
        load("kitchen")
    assert "kitchen" in caught.value.what
    assert "ordinary-kitchen" in caught.value.remedy


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ("floor_m2 = 14.0", "floor_m2 = -3.0", "room.floor_m2 = -3.0"),
        ("floor_m2 = 14.0", 'floor_m2 = "14"', "room.floor_m2 = '14'"),
        ("floor_m2 = 14.0", "floor = 14.0", "room.floor is not known"),
        ("lat_deg = 50.0", "lat_deg = 95.0", "place.lat_deg = 95.0"),
        ("Europe/Berlin", "Europe/Nowhere", "place.zone = 'Europe/Nowhere'"),
        ("start_at = 2026-05-04T04:00:00Z", "start_at = 2026-05-04T04:00:00", "start_at"),
        ("seed = 20260504\n", "", "seed is missing"),
        ('kind = "climate"', 'kind = "barometer"', "sensors.0.kind = 'barometer'"),
        ("missed = 0.3", "missed = 1.3", "sensors.0.faults.missed = 1.3"),
        ('name = "light"', 'name = "shelf"', "two sensors are called 'shelf'"),
        ('name = "comfrey-1"', 'name = "dandelion-1"', "two jars are called 'dandelion-1'"),
        ('jar = "comfrey-1"', 'jar = "sorrel-1"', "'sorrel-1'"),
        ('kind = "light"', 'kind = "jar"\njar = "sorrel-1"', "names the jar 'sorrel-1'"),
        ('kind = "strain"', 'kind = "stray"', "expected.0.kind = 'stray'"),
        ("days = 30", "days = = 30", "not valid TOML"),
        ("days = 30", "days = nan", "days"),
    ],
)
def test_what_is_wrong_in_a_scenario_is_named(before: str, after: str, says: str) -> None:
    error = complaint(changed(before, after))
    assert "scenario mine" in error.what
    assert says in error.what
    assert error.remedy
