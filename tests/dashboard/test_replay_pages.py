"""Replay over real files and the station's own rules: what would have been different, moment by moment."""

import os
import re
from dataclasses import replace
from pathlib import Path

import pytest

from dashboard.lent import Lent
from dashboard.playing import Played, Stretch
from station.domain.jars import Judged, Judgement, Strained
from station.store.shelf_reader import ShelfReader
from tests.builders import a_reading
from tests.dashboard.reading import Words, read
from tests.dashboard.world import SETTINGS, Shelf, at, lending

WEEK = "since=2026-05-04&until=2026-05-10"


def test_the_form_comes_first(played: Shelf) -> None:
    page = read(played, "/replay").text

    assert "Play it" in page
    assert "Moment by moment" not in page


def test_another_limit_is_told_in_alerts(played: Shelf) -> None:
    """The kitchen has one cold evening, at 12 to 14.5 °C: below 15.6 °C (60 °F, NDSU Extension), above 11 °C."""
    plain = read(played, f"/replay?{WEEK}").text
    assert "What would have been different" not in plain
    cold = len(re.findall(r"\bcold\b.*?°C", plain.partition("The whole stretch")[2]))
    assert cold >= 1

    page = read(played, f"/replay?{WEEK}&cold=11").text
    told = re.search(
        r"With cold below 11\.0 °C, this stretch would have brought (\d+) alerts? instead of (\d+)\.", page
    )
    assert told
    assert int(told[2]) - int(told[1]) == 1


def test_a_cooler_shelf_takes_longer_by_the_line(steady: Shelf) -> None:
    """By hand: at 18 °C the rate is (18 - 7) / (20 - 7); 5.5 days at 20 °C become 6.5, a day later."""
    page = read(steady, "/replay?since=2026-05-04&until=2026-05-12&shift=-2").text

    assert "and the shelf" not in page
    assert "With the shelf 2.0 °C cooler, this stretch would have brought" in page
    told = re.search(r"Comfrey \(comfrey-1\) would have been ready about (\d+) h later", page)
    assert told
    assert abs(int(told[1]) - 24) <= 1


def test_the_curve_of_a_cooler_shelf_is_drawn_beside_the_real_one_dashed(steady: Shelf) -> None:
    """By hand: 20.0 to 20.1 °C become 18.0 to 18.1 °C, 2 °C below all along."""
    path = "/replay?since=2026-05-04&until=2026-05-10"
    page = read(steady, f"{path}&shift=-2")
    drawn = [line for line in page.tags if line[0] == "path" and "course" in (line[1].get("class") or "")]
    as_it_was, what_if = ([float(y) for y in re.findall(r" (\d+\.\d)", one["d"] or "")] for _, one in drawn)

    assert [one["class"] for _, one in drawn] == ["course", "course beside-it"]
    assert max(as_it_was) < min(what_if)  # up is less
    assert "What if, dashed: between 18.0 °C and 18.1 °C" in page.text
    assert "beside-it" not in read(steady, f"{path}&cold=11").text  # another limit moves no curve


def test_a_jar_that_was_strained_is_played_as_if_it_had_been_left_standing(tmp_path: Path) -> None:
    """At 20 °C a day is a warm-day: 6.7 from its packing at six to the last midnight, whenever it was strained."""
    shelf = Shelf(tmp_path)
    shelf.pack("comfrey")
    readings = [a_reading(minute, 20.0 + 0.1 * (minute % 20 == 0), span_s=600.0) for minute in range(10, 10080, 10)]
    shelf.live(readings)
    shelf.record(Strained("comfrey-1", at(6)))
    page = Words(read(lending(shelf), "/replay?since=2026-05-04&until=2026-05-10&shift=-2").text).text

    whole = page.partition("The whole stretch")[2]
    assert re.search(r"6\.7 of about 5\.5 warm-days; ready Sat 9 May", whole)
    assert "later than can be foreseen" not in whole
    assert re.search(r"would have been ready about 2[345] h later", page)
    assert "they went off the shelf in these days: comfrey-1." in page


def test_the_play_knows_what_judged_jars_have_taught(tmp_path: Path) -> None:
    """A jar judged too late at 5 warm-days: its plant needs less than the 5.5 of a first one (check values)."""
    shelf = Shelf(tmp_path)
    shelf.pack("comfrey")
    readings = [a_reading(minute, 20.0 + 0.1 * (minute % 20 == 0), span_s=600.0) for minute in range(10, 12960, 10)]
    shelf.live(readings[:720])
    shelf.record(Strained("comfrey-1", at(5)), Judged("comfrey-1", at(5), Judgement.TOO_LATE))
    shelf.pack("comfrey", at(5.1))
    shelf.live(readings[720:])
    page = read(lending(shelf), "/replay?since=2026-05-09&until=2026-05-12").text
    outlook = ShelfReader(tmp_path / "shelf.db").outlook("comfrey-2")

    assert outlook is not None
    assert outlook.need_likely < 5.4
    told = re.findall(r"Comfrey \(comfrey-2\) \S+ of about (\S+) warm-days", page.partition("The whole stretch")[2])
    assert told == [f"{outlook.need_likely:.1f}"]


def test_an_alert_that_was_open_before_counts_while_it_is_open(steady: Shelf) -> None:
    """The jar warms up from its packing on; the whole shelf is colder than 15.6 °C all that time."""
    page = read(steady, "/replay?since=2026-05-06&until=2026-05-07&shift=-6").text

    told = re.search(r"would have brought (\d+) alerts? instead of (\d+)", page)
    assert told
    assert int(told[1]) == int(told[2]) + 1
    assert "Alerts: 1 more: too cold." in page
    assert "Conditions: cold for 48 h instead of 0 h." in page
    assert re.search(r"Open from before, Mon 4 May \d\d:\d\d: Too cold", page)
    held = re.search(r"cold (\d+\.\d) h", page.partition("The whole stretch")[2])
    assert held
    assert 47.5 <= float(held[1]) <= 48.2


def test_without_script_a_moment_is_chosen_by_the_form(steady: Shelf) -> None:
    path = "/replay?since=2026-05-04&until=2026-05-11"
    first, last = (read(steady, f"{path}&moment={number}").text for number in (0, 119))

    assert "Mon 4 May, 07:10" in first
    assert "0.0 of about 5.5 warm-days" in first
    assert "Mon 11 May, " in last
    assert read(steady, f"{path}&moment=lots").text == read(steady, f"{path}&moment=99999").text


def test_every_moment_comes_as_the_page_draws_it(steady: Shelf) -> None:
    path = "since=2026-05-04&until=2026-05-11&shift=3"
    with steady.client() as client:
        film = client.get(f"/replay/frames?{path}").json()
        page = client.get(f"/replay?{path}&moment=7").text
    assert len(film["frames"]) == len(film["when"]) == len(film["x"]) > 100
    assert film["x"] == sorted(film["x"])
    assert Words(film["frames"][7]).text in Words(page).text
    assert "23.0 °C" in Words(film["frames"][7]).text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("since=2026-05-04&until=2026-06-04", "Play up to 14 days."),
        ("since=2026-05-10&until=2026-05-04", "the last day must not lie before the first"),
        ("since=soon&until=2026-05-04", "'soon' is not a day"),
        ("since=2026-05-04", "a last day is needed"),
        (f"{WEEK}&cold=warm", "'warm' is not a number of degrees"),
        (f"{WEEK}&cold=nan", "is not a number of degrees"),
        (f"{WEEK}&shift=40", "40 is too much"),
        (f"{WEEK}&cold=26.5", "hot must lie more than a degree above cold"),
    ],
)
def test_what_cannot_be_played_is_said_in_place(played: Shelf, query: str, said: str) -> None:
    page = read(played, f"/replay?{query}")

    assert said.lower() in page.text.lower()
    fields = {one.get("name"): one.get("value") for tag, one in page.tags if tag == "input"}
    typed = dict(pair.split("=") for pair in query.split("&"))
    assert {name: fields[name] for name in typed} == typed
    with played.client() as client:
        assert client.get(f"/replay/frames?{query}").json()["frames"] == []


def test_days_without_a_reading_say_so(played: Shelf) -> None:
    assert "There are no readings in these days." in read(played, "/replay?since=2020-01-01&until=2020-01-02").text


def test_fahrenheit_is_asked_and_told(played: Shelf) -> None:
    settings = SETTINGS.model_copy(update={"units": SETTINGS.units.model_copy(update={"temperature": "F"})})
    page = read(replace(played, settings=settings), f"/replay?{WEEK}&cold=50&shift=-9").text

    assert "With cold below 50.0 °F, and the shelf 9.0 °F cooler" in page


def test_without_a_player_the_shell_is_named(shelf: Shelf) -> None:
    assert "jarside replay" in read(shelf, "/replay").text


def test_playing_changes_nothing(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    shelf.live([a_reading(minute, 20.0) for minute in range(30)])
    before = (tmp_path / "shelf.db").read_bytes()
    read(lending(shelf), "/replay?since=2026-05-04&until=2026-05-04&shift=1")
    assert (tmp_path / "shelf.db").read_bytes() == before


def test_a_play_is_not_repeated_because_another_minute_came(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    shelf.live([a_reading(minute, 20.0) for minute in range(30)])
    os.utime(tmp_path / "notebook.db", (0, 0))  # a file that changed just now may change again: nothing of it is kept
    lending_it = lending(shelf)
    plays: list[Stretch] = []

    def play(stretch: Stretch) -> Played:
        plays.append(stretch)
        assert lending_it.lent.play is not None
        return lending_it.lent.play(stretch)

    watched = replace(shelf, lent=Lent(play))
    with watched.client() as client:
        for minute in (30, 31):
            path = "/replay?since=2026-05-04&until=2026-05-04"
            assert "Moment by moment" in client.get(path).text
            shelf.live([a_reading(minute, 20.0)])
    assert len(plays) == 1


def test_a_short_warm_spell_between_two_moments_is_in_the_range_of_the_curve(tmp_path: Path) -> None:
    """A week has a moment every 84 minutes; ten minutes at 24 °C lie between two of them."""
    shelf = Shelf(tmp_path)
    spell = range(3010, 3020)
    shelf.live(
        a_reading(minute, 24.0 if minute in spell else 20.0 + 0.1 * (minute % 20 == 0)) for minute in range(10080)
    )
    page = read(lending(shelf), "/replay?since=2026-05-04&until=2026-05-11").text

    assert "24.0 °C" in page.partition("Moment by moment")[2].partition("Slide")[0]
