"""A season told as commands, from the picking window to the last feeding of the last bottle."""

import shlex
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.shell import a_log, jarside

SCRIPT = Path(__file__).with_name("season.txt")
SETTINGS = """
[place]
lat_deg = 41.2
lon_deg = -8.6
zone = "Europe/Lisbon"
"""


def steps():
    """Yield each command of the script with its line number and the fragments its answer must contain."""
    found = []
    for number, line in enumerate(SCRIPT.read_text(encoding="utf-8").splitlines(), start=1):
        if line.startswith(("$ ", "?")):
            found.append((number, line, []))
        elif line and not line.startswith("# ") and line != "#":
            found[-1][2].append(line)
    return found


def a_steady_season(folder):
    """20.0 °C every hour from May to mid June, so that a day is a warm-day."""
    begin = datetime(2024, 5, 4, 0, 0, tzinfo=UTC)
    rows = (f"{(begin + timedelta(hours=hour)).isoformat()},20.0,55,50" for hour in range(24 * 42))
    return a_log(folder, *rows, name="shelf.csv")


@pytest.fixture(autouse=True)
def in_2024(in_2026, monkeypatch):
    """The script is read in the year in which it happens; set after the year of the other tests."""
    monkeypatch.setattr("station.cli.now", lambda: datetime(2024, 12, 1, tzinfo=UTC))


@pytest.fixture(scope="module")
def world(tmp_path_factory):
    folder = tmp_path_factory.mktemp("season")
    (folder / "jarside.toml").write_text(SETTINGS, encoding="utf-8")
    a_steady_season(folder)
    return folder


def in_order(fragments, text):
    """Return the first fragment that does not follow those before it, or None."""
    at = 0
    for fragment in fragments:
        found = text.find(fragment, at)
        if found < 0:
            return fragment
        at = found + len(fragment)
    return None


def run(world, line):
    """Run one line of the script."""
    text = line.lstrip("$? ").replace("{log}", str(world / "shelf.csv")).replace("{folder}", str(world))
    return jarside(*shlex.split(text), data=world / "data", config=world / "jarside.toml")


def test_a_season_from_the_picking_window_to_the_last_feeding(world):
    for number, line, fragments in steps():
        said = run(world, line)
        where = f"{SCRIPT.name}:{number}: {line}\n{said.out}{said.err}"
        assert said.code == (1 if line.startswith("?") else 0), where
        missing = in_order(fragments, said.out + said.err)
        assert missing is None, f"no {missing!r} in {where}"
    figures = run(world, "$ season --json").json
    comfrey = next(one for one in figures["plants"] if one["plant"] == "comfrey")
    assert comfrey["juice_ml_per_kg"] == pytest.approx(500 / 0.45, abs=0.001)
    assert comfrey["mean_warm_days"] == pytest.approx(5.0, abs=0.01)
    assert comfrey["fed_ml"] + comfrey["left_ml"] + 20.0 == comfrey["filled_ml"]
    assert sum(one["juice_ml"] for one in figures["fed"]) == sum(one["fed_ml"] for one in figures["plants"])


def test_the_script_has_both_commands_that_work_and_commands_that_are_refused():
    assert sum(line.startswith("$") for _, line, _ in steps()) > 50
    assert sum(line.startswith("?") for _, line, _ in steps()) >= 4
    assert all(fragments for _, _, fragments in steps())
