"""When the sun comes: `jarside shelf sun`, `shelf moved` and `survey`."""

from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest

from station.domain.sun import Place, sun_position
from tests.cli.shell import a_log, jarside, refused

HOME = Place(50.0, 8.0)
END_AT = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
"""The hour in which the tests began, once for all: between two looks at the clock another one may begin."""


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "jarside.toml"
    path.write_text('[place]\nlat_deg = 50.0\nlon_deg = 8.0\nzone = "Europe/Berlin"\n', encoding="utf-8")
    return path


def a_sunny_log(folder: Path, days: int = 5) -> Path:
    """A log of the last days in which the sun stood between two azimuths for a while each noon."""
    rows = []
    for number in range(days * 288):
        at = END_AT - timedelta(minutes=5 * (days * 288 - number))
        sunny = 180.0 <= sun_position(HOME, at).azimuth_deg < 200.0
        rows.append(f"{at.isoformat()},20,50,{20_000 if sunny else 80}")
    return a_log(folder, *rows, name="sill.csv")


def test_a_survey_tells_from_where_the_sun_comes_and_when_on_the_day_after(tmp_path: Path, config: Path) -> None:
    said = jarside("survey", a_sunny_log(tmp_path), config=config)
    assert "sill: direct sun from the south, azimuth " in said.out
    assert said.out.rstrip().endswith("if the sky is clear.")
    (found,) = jarside("survey", a_sunny_log(tmp_path), "--json", config=config).json
    (spell,) = found["sun"]["tomorrow"]
    begins_at = datetime.fromisoformat(spell["from"])
    assert sun_position(HOME, begins_at).azimuth_deg == pytest.approx(180.0, abs=3.0)  # a reading is 5 min long


def test_without_a_place_the_survey_says_in_one_line_how_to_set_it(tmp_path: Path) -> None:
    out = jarside("survey", a_sunny_log(tmp_path)).out
    assert len([line for line in out.splitlines() if "lat_deg" in line]) == 1
    assert "lon_deg under [place] in the settings" in out
    assert jarside("survey", a_sunny_log(tmp_path), "--json").json[0]["sun"] is None


def test_a_place_that_the_sun_does_not_reach_is_said(tmp_path: Path, config: Path) -> None:
    times = [datetime.combine(datetime(2026, 5, 4).date(), time(hour), UTC) for hour in range(24)]  # noqa: DTZ001
    log = a_log(tmp_path, *(f"{at.isoformat()},20,50,100" for at in times))
    assert "log: no direct sun was seen on two days." in jarside("survey", log, config=config).out


def test_the_station_s_own_log_tells_tomorrow_s_sun(tmp_path: Path, config: Path) -> None:
    data = tmp_path / "data"
    jarside("import", a_sunny_log(tmp_path), data=data)
    out = jarside("shelf", "sun", config=config, data=data).out
    assert out.startswith("Direct sun tomorrow ")
    assert "from the south" in out
    assert "this shelf: direct sun from the south" in jarside("survey", config=config, data=data).out
    (spell,) = jarside("shelf", "sun", "--json", config=config, data=data).json["tomorrow"]
    assert spell["from"] < spell["until"]


def test_after_a_move_the_sun_is_learned_anew_until_that_is_taken_back(tmp_path: Path, config: Path) -> None:
    data = tmp_path / "data"
    jarside("import", a_sunny_log(tmp_path), data=data)
    assert jarside("shelf", "moved", "--json", config=config, data=data).json["moved_at"] is not None
    assert "No direct sun has been seen here on two days yet." in jarside("shelf", "sun", config=config, data=data).out
    assert "Took back" in jarside("shelf", "moved", "--take-back", config=config, data=data).out
    assert jarside("shelf", "sun", config=config, data=data).out.startswith("Direct sun tomorrow ")
    refused(jarside("shelf", "moved", "--take-back", config=config, data=data), "never moved", "jarside shelf moved")
    refused(jarside("shelf", "moved", "--at", "2999-01-01T00:00", data=data), "future")


def test_a_survey_of_the_station_s_own_log_begins_at_its_last_move(tmp_path: Path, config: Path) -> None:
    data = tmp_path / "data"
    log = a_sunny_log(tmp_path)
    jarside("import", log, data=data)

    def surveyed(*words: str | Path) -> tuple[float, int, str | None]:
        (found,) = jarside("survey", *words, "--json", config=config, data=data).json
        return found["covered_h"], len(found["sun"]["windows"]), found["moved_at"]

    whole_h, windows, moved_at = surveyed()
    assert (whole_h, windows, moved_at) == (pytest.approx(120.0, abs=0.2), 1, None)
    moved = END_AT - timedelta(hours=12)
    jarside("shelf", "moved", "--at", moved.isoformat(), config=config, data=data)
    since_h, windows, moved_at = surveyed()
    assert (since_h, windows) == (pytest.approx(12.0, abs=0.2), 0)  # one noon at most
    assert moved_at is not None
    assert datetime.fromisoformat(moved_at) == moved
    assert "this shelf: only what was measured since the move of " in jarside("survey", config=config, data=data).out
    assert surveyed(log) == (pytest.approx(120.0, abs=0.2), 1, None)
    jarside("shelf", "moved", "--take-back", config=config, data=data)
    assert surveyed() == (whole_h, 1, None)
    assert "since the move" not in jarside("survey", config=config, data=data).out


def test_a_survey_of_a_log_file_says_that_it_knows_of_no_moves(tmp_path: Path, config: Path) -> None:
    out = jarside("survey", a_sunny_log(tmp_path), config=config).out
    assert "A log file does not say when its station was moved: each is taken as one spot." in out


def test_without_a_place_or_a_log_the_shelf_says_what_is_missing(tmp_path: Path, config: Path) -> None:
    assert jarside("shelf", "sun", data=tmp_path).out.count("\n") == 1
    assert "lat_deg and lon_deg" in jarside("shelf", "sun", data=tmp_path).out
    assert jarside("shelf", "sun", "--json", data=tmp_path).json is None
    assert "No direct sun has been seen" in jarside("shelf", "sun", data=tmp_path, config=config).out
