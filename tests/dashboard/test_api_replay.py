"""A replay for programs: the same play as on the page, in numbers."""

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta
from queue import Queue
from threading import Event
from typing import Any

import pytest

from dashboard.lent import Lent
from dashboard.playing import Played, Stretch
from dashboard.turns import MOST_AT_ONCE
from tests.dashboard.reading import read
from tests.dashboard.world import Shelf, at

WEEK = {"since": "2026-05-04", "until": "2026-05-10"}


def play(shelf: Shelf, status: int = 200, **asked: object) -> Any:
    with shelf.client() as client:
        answer = client.get("/api/replay", params={**WEEK, **asked})
    assert answer.status_code == status, answer.text
    return answer.json()


def test_another_limit_is_told_in_alerts_as_on_the_page(played: Shelf) -> None:
    """The kitchen has one cold evening, at 11.5 to 14.5 °C: below 15.6 °C (60 °F, NDSU Extension), above 11 °C."""
    told = play(played, cold_c=11)

    kinds = [[one["kind"] for one in told[side]["alerts"]] for side in ("as_it_was", "what_if")]
    assert [one.count("cold") for one in kinds] == [1, 0]
    (cold,) = [one for one in told["as_it_was"]["alerts"] if one["kind"] == "cold"]
    assert at(5.25).isoformat() < cold["raised_at"] < at(5.75).isoformat()
    assert 11.5 <= cold["peak"] <= 14.5, "13 °C, 1.5 °C up and down"
    assert told["as_it_was"]["condition_h"]["cold"] > 0
    assert "cold" not in told["what_if"]["condition_h"]
    assert told["supposed"] == {"cold_c": 11.0, "hot_c": None, "shift_c": 0.0}
    page = read(played, "/replay?since=2026-05-04&until=2026-05-10&cold=11").text
    assert told["lessons"]
    assert all(lesson in page for lesson in told["lessons"])


def test_a_cooler_shelf_takes_longer_by_the_line(steady: Shelf) -> None:
    """By hand: at 18 °C the rate is (18 - 7) / (20 - 7); 5.5 days at 20 °C become 6.5, and the evening a day later."""
    told = play(steady, until="2026-05-12", shift_c=-2)

    was, would = (told[side]["jars"][0] for side in ("as_it_was", "what_if"))
    assert (was["id"], was["plant"]) == ("comfrey-1", "comfrey")
    assert was["outlook"]["need"]["likely"] == pytest.approx(5.5)
    hours = [one["outlook"]["warm_days"] for one in (was, would)]
    assert hours[1] / hours[0] == pytest.approx(11.0 / 13.0, rel=0.02)
    evenings = [datetime.fromisoformat(one["strain_evening"]) for one in (was, would)]
    assert evenings[0] == at(6.5), (
        "packed at six, ready after 5.5 days and what the jar took to warm up: the next evening"
    )
    assert evenings[1] - evenings[0] == timedelta(days=1)


def test_moments_come_only_where_they_are_asked_for(steady: Shelf) -> None:
    assert play(steady)["as_it_was"]["moments"] == []
    told = play(steady, moments="true", shift_c=3)

    was, would = told["as_it_was"]["moments"], told["what_if"]["moments"]
    assert len(was) == len(would) > 100
    assert [one["at"] for one in was] == sorted(one["at"] for one in was)
    assert would[7]["reading"]["temp_c"] - was[7]["reading"]["temp_c"] == pytest.approx(3.0)
    assert was[-1]["warm_days"]["comfrey-1"] == pytest.approx(
        told["as_it_was"]["jars"][0]["outlook"]["warm_days"], abs=0.1
    )
    assert told["what_if"]["readings"] == told["as_it_was"]["readings"] > 900


def test_nothing_supposed_is_one_play(steady: Shelf) -> None:
    told = play(steady)
    assert (told["what_if"], told["lessons"]) == (None, [])
    assert (told["gone"], told["left_out"]) == ([], [])


@pytest.mark.parametrize(
    ("asked", "status", "said"),
    [
        ({"until": "2026-06-04"}, 409, "too far behind"),
        ({"since": "2026-05-12"}, 409, "lies before since"),
        ({"since": "0001-01-01", "until": "0001-01-02"}, 409, "year 1"),
        ({"since": "soon"}, 422, "since"),
        ({"cold_c": "warm"}, 422, "cold_c"),
        ({"cold_c": "nan"}, 422, "cold_c"),
        ({"cold_c": 26.5}, 409, "more than a degree above cold"),
        ({"shift_c": 40}, 422, "shift_c"),
    ],
)
def test_what_cannot_be_played_is_refused(played: Shelf, asked: dict[str, object], status: int, said: str) -> None:
    assert said in play(played, status, **asked)["what"]


def held(play: Callable[[Stretch], Played] | None, go: Event, stretches: list[Stretch]) -> Lent:
    """A player that holds every play until it may go."""

    def played(stretch: Stretch) -> Played:
        assert play is not None
        stretches.append(stretch)
        assert go.wait(60)
        return play(stretch)

    return Lent(played)


def test_what_many_ask_at_once_is_played_once_and_too_many_are_sent_away(steady: Shelf) -> None:
    """Each that waits keeps one of the few threads from the other pages."""
    go, stretches, answers = Event(), list[Stretch](), Queue[int]()
    shelf = replace(steady, lent=held(steady.lent.play, go, stretches))
    with shelf.client() as client, ThreadPoolExecutor(MOST_AT_ONCE + 2) as many:
        for _ in range(MOST_AT_ONCE + 2):
            many.submit(lambda: answers.put(client.get("/api/replay", params=WEEK).status_code))
        try:
            early = [answers.get(timeout=30), answers.get(timeout=30)]
            assert client.get("/replay?since=2026-05-04&until=2026-05-10").status_code == 429
        finally:
            go.set()
        late = Counter(answers.get(timeout=60) for _ in range(MOST_AT_ONCE))
    assert (early, late) == ([429, 429], {200: MOST_AT_ONCE})
    assert len(stretches) == 1


def test_a_stretch_that_is_to_come_ends_as_it_begins(played: Shelf) -> None:
    told = play(played, since="2026-07-01", until="2026-07-02")
    assert told["since_at"] == told["until_at"]
    assert told["as_it_was"]["readings"] == 0


def test_without_a_player_the_shell_is_named(shelf: Shelf) -> None:
    assert "jarside replay" in play(shelf, 409)["remedy"]
