"""What was set on the pages goes over the settings file in every command, and --set goes over both."""

from datetime import time
from pathlib import Path

import pytest

from station.settings_file import SET_UP, load
from station.store.set_up import keep_set_up
from tests.cli.shell import jarside, refused

FILE = '[limits]\ncold_c = 14.0\nhot_c = 27.0\n[place]\nzone = "Europe/Lisbon"\n'
LOG = "time,temp_c,rh_pct,light_lx\n" + "".join(f"2026-05-04T{hour:02}:00:00Z,15.0,55,100\n" for hour in range(24))


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "jarside.toml"
    path.write_text(FILE)
    (tmp_path / "log.csv").write_text(LOG)
    return path


def cold_hours(config: Path, *more: str) -> float:
    found = jarside("replay", config.with_name("log.csv"), *more, "--json", data=config.parent, config=config).json
    found = found.get("what_if", found)
    return float(found["shelf"]["hours"].get("cold", 0.0))


def test_a_limit_set_on_the_pages_is_in_use(config: Path) -> None:
    assert cold_hours(config) == 0.0
    keep_set_up(config.parent, {"limits": {"cold_c": 16.0}})
    assert cold_hours(config) > 20.0
    assert cold_hours(config, "--set", "limits.cold_c=13") == 0.0
    keep_set_up(config.parent, {"limits": {}})
    assert cold_hours(config) == 0.0


def test_every_kind_of_value_comes_back(tmp_path: Path) -> None:
    keep_set_up(
        tmp_path,
        {
            "place": {"lat_deg": -33.5, "lon_deg": 8.0, "zone": "America/Argentina/Salta"},
            "units": {"temperature": "F"},
            "strain": {"evening": time(18, 30), "days_away": ("tue", "sun")},
        },
    )
    (tmp_path / "empty.toml").touch()
    settings = load(tmp_path / "empty.toml", (), tmp_path / SET_UP)
    assert (settings.place.lat_deg, settings.place.lon_deg, settings.place.zone) == (
        -33.5,
        8.0,
        "America/Argentina/Salta",
    )
    assert (settings.units.temperature, settings.units.amounts) == ("F", "metric")
    assert (settings.strain.evening, settings.strain.days_away) == (time(18, 30), ("tue", "sun"))


@pytest.mark.parametrize(
    ("text", "fragment"),
    [
        ('[dashboard]\nhost = "0.0.0.0"\n', "dashboard: host may not be set here"),
        ('data = "/elsewhere"\n', "data may not be set here"),
        ('[place]\nserial = "1"\n', "place: serial may not be set here"),
        ("[limits]\ncold_c = 26.5\n", "must lie more than 1 °C below"),
        ("[limits\n", "not valid TOML"),
    ],
)
def test_what_may_not_be_set_there_is_refused_by_name(config: Path, text: str, fragment: str) -> None:
    (config.parent / SET_UP).write_text(text)
    refused(jarside("watch", "--check", data=config.parent, config=config), fragment, SET_UP)
