"""What the pages show beside the records themselves, told to programs in the same words and in numbers."""

from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from dashboard.api.models import SunOut
from station.domain.coming_sun import ComingSun
from station.domain.sunwindow import SunSpell
from station.store.log_files import write_log
from tests.dashboard.pantry import a_pantry
from tests.dashboard.reading import read
from tests.dashboard.world import Shelf, a_day_of, at

LISBON = ZoneInfo("Europe/Lisbon")


def told(shelf: Shelf, path: str, status: int = 200, **asked: Any) -> Any:
    with shelf.client() as client:
        answer = client.get(f"/api{path}", params=asked)
    assert answer.status_code == status, answer.text
    return answer.json()


def local(text: str) -> str:
    """Return the clock of a time as the shelf reads it."""
    return f"{datetime.fromisoformat(text).astimezone(LISBON):%H:%M}"


@pytest.fixture
def pantry(tmp_path: Path) -> Shelf:
    return a_pantry(tmp_path)


def test_what_needs_doing_is_what_the_first_page_asks_for(kitchen: Shelf) -> None:
    todos = told(kitchen, "/to-do")
    page = read(kitchen, "/").text.replace("\u00a0", " ")

    assert {one["urgency"] for one in todos} >= {"now"}, "a jar has dripped for long"
    order = ["now", "today", "tomorrow", "later"]
    assert [one["urgency"] for one in todos] == sorted((one["urgency"] for one in todos), key=order.index)
    assert all(one["text"] in page for one in todos)
    with kitchen.client() as client:
        assert {client.get(one["page"]).status_code for one in todos} == {200}


def test_the_next_picking_is_the_one_on_the_first_page(kitchen: Shelf) -> None:
    sun = told(kitchen, "/sun")
    page = read(kitchen, "/").text.replace("\u00a0", " ")

    assert f"Pick from {local(sun['picking']['begins_at'])} to {local(sun['picking']['ends_at'])} on" in page
    assert (sun["seen"], sun["today"], sun["tomorrow"]) == (False, [], [])


def test_the_sun_that_is_to_come_is_told_in_stretches() -> None:
    spell = SunSpell(at(0), at(0, minutes=30))
    answer = SunOut.of(None, ComingSun((), (), (spell,)))

    assert [(one.begins_at, one.ends_at) for one in answer.tomorrow] == [(at(0), at(0, minutes=30))]
    assert SunOut.of(None, None) == SunOut(picking=None, seen=False, today=[], tomorrow=[])


def test_an_earlier_day_of_the_climate_goes_from_midnight_to_midnight(kitchen: Shelf) -> None:
    day = told(kitchen, "/climate", until="2026-05-06")

    ends = [datetime.fromisoformat(day[name]).astimezone(LISBON) for name in ("since_at", "until_at")]
    assert [f"{end:%m-%d %H:%M}" for end in ends] == ["05-06 00:00", "05-07 00:00"]
    assert day["steps"][0]["temp_c"]["mean"] == pytest.approx(20.0, abs=1.6), "20 °C, 1.5 °C up and down"
    assert "year 1" in told(kitchen, "/climate", 409, until="0001-01-01")["what"]


def test_alerts_are_found_by_when_they_were_open(kitchen: Shelf) -> None:
    """The kitchen was cold on its sixth day alone."""

    def kinds(**when: datetime) -> list[str]:
        return [one["kind"] for one in told(kitchen, "/alerts", **{k: at_.isoformat() for k, at_ in when.items()})]

    assert "cold" in kinds(since=at(5.25), until=at(5.75))
    assert "cold" not in kinds(until=at(5.2))
    assert "cold" not in kinds(since=at(6.5))


def test_a_log_from_elsewhere_is_summed_up_as_on_the_page(shelf: Shelf) -> None:
    folder = shelf.folder / "logs"
    folder.mkdir()
    write_log(folder / "scullery.csv", a_day_of(temp_c=12.0, swing_c=0.5, days=2.0))
    torn = (folder / "scullery.csv").read_text().replace(",12.", ",warm.", 1)
    (folder / "torn.csv").write_text(torn)
    (folder / "broken.csv").write_text("time,temperature\n")
    (folder / "notes.txt").write_text("not a log")
    (folder / "gone.csv").symlink_to(folder / "nowhere.csv")
    (folder / "folder.csv").mkdir()

    assert told(shelf, "/logs") == ["broken.csv", "scullery.csv", "torn.csv"]
    spot = told(shelf, "/logs/survey", name="scullery.csv")
    assert (spot["name"], spot["rejected"]) == ("scullery.csv", 0)
    assert spot["spot"]["verdict"].startswith("Not a good spot: it is too cold")
    assert (spot["spot"]["least_c"], spot["spot"]["most_c"]) == (pytest.approx(11.5), pytest.approx(12.5))
    assert told(shelf, "/logs/survey", name="torn.csv")["rejected"] == 1
    assert "temp_c" in told(shelf, "/logs/survey", 409, name="broken.csv")["what"]
    for name in ("notes.txt", "nowhere.csv", "gone.csv", "../shelf.db"):
        told(shelf, "/logs/survey", 404, name=name)
    assert "There is no such log file" in read(shelf, "/survey?file=gone.csv").text


def test_a_jars_course_ends_at_the_warmth_that_the_station_counts(kitchen: Shelf) -> None:
    course = told(kitchen, "/jars/stinging-nettle-1/course")
    outlook = told(kitchen, "/jars/stinging-nettle-1")["outlook"]

    warm_days = [one["warm_days"] for one in course["warmth"]]
    assert warm_days == sorted(warm_days)
    assert (warm_days[0], warm_days[-1]) == (0.0, pytest.approx(outlook["warm_days"]))
    assert len(course["warmth"]) >= 12 * 6, "a step is two hours at most"
    measured = [one["temp_c"]["mean"] for one in course["shelf"] if one["temp_c"]]
    assert (min(measured), max(measured)) == (pytest.approx(12.0, abs=1.0), pytest.approx(21.5, abs=0.2))


def test_a_jars_guide_says_what_its_page_says(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    shelf.now_at = at(0.6)
    guide = told(shelf, "/jars/comfrey-1/guide")
    page = read(shelf, "/jars/comfrey-1").text

    assert (guide["jar"], guide["sign"]["sign"]) == ("comfrey-1", "juice")
    assert guide["checklist"]
    assert guide["cautions"]
    for text in (guide["sign"]["text"], *guide["checklist"], *guide["cautions"], *guide["warnings"], guide["belief"]):
        assert text in page
    told(shelf, "/jars/nobody-1/guide", 404)


def test_a_bottles_history_is_told_from_its_filling_on(pantry: Shelf) -> None:
    history = told(pantry, "/bottles/comfrey-1-a/history")

    assert [(one["what"], one["volume_ml"], one["note"]) for one in history] == [
        ("filled", 160.0, ""),
        ("drawn", 40.0, "for a neighbour"),
        ("drawn", 10.0, ""),
        ("drawn", 10.0, ""),
    ]
    assert [one["feeding"] for one in history] == [None, None, "feed-1", "feed-2"]
    assert history[0]["storage"] == "cool"
    assert [one["what"] for one in told(pantry, "/bottles/comfrey-1-b/history")][:2] == ["filled", "lid closed"]


def test_seeds_that_soak_and_the_time_of_day_are_told(pantry: Shelf) -> None:
    """In at 07:50 in Lisbon: out from 20 minutes on, and not left in longer than overnight (common practice)."""
    now = told(pantry, "/feeding/now")

    (soak,) = now["soaks"]
    assert [local(soak[name]) for name in ("from_at", "ready_at", "latest_at")] == ["07:50", "08:10", "19:50"]
    assert (soak["feeding"], soak["place"], soak["state"]) == ("feed-3", "lettuce seeds", "leave them in")
    page = read(pantry, "/feeding").text
    assert [one["method"] for one in now["advice"]] == ["leaf spray", "drench"]
    assert all(one["text"] in page for one in now["advice"])


def test_the_seeds_a_trial_needs_are_those_of_the_formula(shelf: Shelf) -> None:
    """By hand (Fleiss, Levin & Paik 2003): (1.960 √(2·0.75·0.25) + 0.842 √(0.65·0.35 + 0.85·0.15))² / 0.2² = 72.4."""
    seeds = told(shelf, "/seeds-needed")

    assert (seeds["share"], seeds["other_share"], seeds["seeds"]) == (0.65, pytest.approx(0.85), 73)
    assert seeds["text"] in read(shelf, "/trials").text
    assert told(shelf, "/seeds-needed", share=0.9)["other_share"] == pytest.approx(0.7)
    told(shelf, "/seeds-needed", 422, share=65)
