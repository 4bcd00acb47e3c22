"""Trials over HTTP: sown, counted dish by dish, and ended."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from station.domain.trials import Trial
from station.store.notebook import Notebook
from station.store.trials import Trials
from tests.dashboard.forming import mark_of, send, words
from tests.dashboard.pantry import a_pantry
from tests.dashboard.reading import EVIL, Words, read
from tests.dashboard.world import Shelf

SOWN = {"seeds": "beans", "arm-1": "soaked", "dishes-1": "20,20", "arm-2": "plain", "dishes-2": "20 20"}
COUNT = "/trials/lettuce-1/count"


@pytest.fixture
def pantry(tmp_path: Path) -> Shelf:
    return a_pantry(tmp_path)


def trials(shelf: Shelf) -> dict[str, Trial]:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        return {one.id: one for one in Trials(notebook).trials()}


def inputs(page: str) -> dict[str | None, str | None]:
    return {attributes.get("name"): attributes.get("value") for tag, attributes in Words(page).tags if tag == "input"}


def test_an_empty_list_says_what_a_trial_is_and_how_many_seeds_it_takes(shelf: Shelf) -> None:
    """65 against 85 %: 73 seeds (Fleiss, Levin & Paik 2003; check values)."""
    page = read(shelf, "/trials").text

    assert "No trial yet" in page
    assert "To tell 65 % from 85 %, sow about 73 seeds of each kind" in page
    assert not (shelf.folder / "notebook.db").exists()


def test_the_seeds_that_are_needed_can_be_asked(shelf: Shelf) -> None:
    assert "To tell 50 % from 90 %" in read(shelf, "/trials?share=50&points=40").text
    assert "'many' is not a number of percent" in read(shelf, "/trials?share=many").text
    assert "Give a share of 0 to 100 %" in read(shelf, "/trials?share=65&points=0").text


def test_a_trial_tells_what_it_shows_in_plain_words(pantry: Shelf) -> None:
    page = read(pantry, "/trials/lettuce-1").text

    assert "Soaked 35 of 40 (88 %, range 74 to 95 %)" in page
    assert "One trial is a hint: repeat it." in page
    assert "Percent germinated by the days since sowing." in page
    assert "Sat 30 May, day 6.1 17 18 11 12" in page


def test_a_trial_is_sown_once_however_often_it_is_sent(shelf: Shelf) -> None:
    with shelf.client() as client:
        fields = {"mark": mark_of(client.get("/trials/sow").text), **SOWN}
        with ThreadPoolExecutor(2) as tabs:
            sent = [tabs.submit(client.post, "/trials/sow", data=fields, follow_redirects=False) for _ in range(2)]
            assert {one.result().headers["location"] for one in sent} == {"/trials/beans-1"}

        assert "Nothing has been counted yet." in words(client.get("/trials/beans-1"))
    (found,) = trials(shelf).values()
    assert [(arm.name, arm.dishes) for arm in found.arms] == [("soaked", (20, 20)), ("plain", (20, 20))]
    assert found.control == "plain"


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"seeds": ""}, "The seeds are not named."),
        ({"dishes-1": "0"}, "Arm soaked: 0 seeds sown. Sow at least one seed in every dish."),
        ({"dishes-1": "20,-5"}, "Sow at least one seed in every dish."),
        ({"dishes-1": "many"}, "Seeds 'many' cannot be read."),
        ({"dishes-2": ""}, "The seeds are not counted."),
        ({"dishes-1": "999999999"}, "Sow at most 100,000."),
        ({"arm-2": "Soaked"}, "Give two or more arms with names that differ."),
        ({"control": "water"}, "There is no arm water to compare with."),
        ({"bottle": "nothing-1-a"}, "There is no bottle nothing-1-a."),
        ({"dishes-3": "20"}, "These seeds have no name."),
        ({"at": "2030-01-01T08:00"}, "in the future"),
    ],
)
def test_a_trial_that_cannot_be_is_not_sown(shelf: Shelf, changed: dict[str, str], said: str) -> None:
    with shelf.client() as client:
        answer = send(client, "/trials/sow", **{**SOWN, "treatment": "kept", **changed})

    assert answer.status_code == 200
    assert said.lower() in words(answer).lower()
    assert inputs(answer.text)["treatment"] == "kept"
    assert trials(shelf) == {}


def test_counts_are_entered_dish_by_dish_and_only_where_somebody_looked(pantry: Shelf) -> None:
    with pantry.client() as client:
        assert "17 last time, of 20" in words(client.get(COUNT))
        answer = send(client, COUNT, **{"count-0-1": "19", "count-1-2": "13", "count-0-2": ""})
        assert answer.headers["location"] == "/trials/lettuce-1"

        page = words(client.get("/trials/lettuce-1"))
    assert "Soaked 37 of 40" in page
    assert "plain 24 of 40" in page
    assert len(trials(pantry)["lettuce-1"].counts) == 10


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"count-0-1": "21"}, "21 germinated in arm soaked, dish 1, where 20 were sown."),
        ({"count-0-1": "-1"}, "-1 germinated in arm soaked"),
        ({"count-0-1": "3.5"}, "'3.5' is not a whole number."),
        ({"count-0-1": "5"}, "Count all that have germinated so far, also those taken out."),
        ({}, "No dish is counted."),
        ({"count-0-1": "18", "at": "2026-05-01T08:00"}, "They were counted before they were sown."),
    ],
)
def test_a_count_that_cannot_be_is_said_at_its_dish_and_nothing_is_kept(
    pantry: Shelf, fields: dict[str, str], said: str
) -> None:
    with pantry.client() as client:
        answer = send(client, COUNT, **{"count-1-1": "12", **fields} if fields else {})

    assert answer.status_code == 200
    assert said.lower() in words(answer).lower()
    assert inputs(answer.text)["count-0-1"] == fields.get("count-0-1", "")
    assert len(trials(pantry)["lettuce-1"].counts) == 8


def test_one_count_sent_twice_counts_once(pantry: Shelf) -> None:
    with pantry.client() as client:
        fields = {"mark": mark_of(client.get(COUNT).text), "count-0-1": "18"}
        answers = [client.post(COUNT, data=fields, follow_redirects=False).status_code for _ in range(2)]

    assert answers == [303, 303]
    assert len(trials(pantry)["lettuce-1"].counts) == 9


def test_an_ended_trial_takes_no_more_counts(pantry: Shelf) -> None:
    with pantry.client() as client:
        send(client, "/trials/lettuce-1/end", note="all up")

        page = client.get("/trials/lettuce-1").text
        assert "all up" in page
        assert COUNT not in page
        assert "has ended" in words(send(client, COUNT, **{"count-0-1": "20"}))
    assert len(trials(pantry)["lettuce-1"].counts) == 8


def test_markup_in_a_trial_stays_text(shelf: Shelf) -> None:
    with shelf.client() as client:
        where = send(
            client, "/trials/sow", **{**SOWN, "seeds": EVIL, "arm-1": EVIL[:40], "treatment": EVIL, "note": EVIL}
        ).headers["location"]
        send(client, f"{where}/count", **{"count-0-1": "4", "count-1-1": "5"})
        for path in (where, f"{where}/count", f"{where}/end", "/trials"):
            page = Words(client.get(path).text)
            assert not [tag for tag, attributes in page.tags if "onerror" in attributes], path
            assert [attributes for tag, attributes in page.tags if tag == "script" and not attributes.get("src")] == []


def test_an_unknown_trial_is_not_there(pantry: Shelf) -> None:
    assert "there is no trial nothing-1" in read(pantry, "/trials/nothing-1", 404).text.lower()


def test_the_last_count_is_taken_back_on_the_trials_page(pantry: Shelf) -> None:
    before = trials(pantry)["lettuce-1"].counts
    with pantry.client() as client:
        send(client, COUNT, **{"count-0-1": "20", "at": "2026-05-31T08:00"})
        pantry.now_at = max(pantry.now_at, trials(pantry)["lettuce-1"].last_counts[0].at)
        page = client.get("/trials/lettuce-1").text
        assert "Was the last count a slip?" in Words(page).text
        last_at = trials(pantry)["lettuce-1"].last_counts[0].at.isoformat()
        assert f'value="{last_at}"' in page
        form = {"mark": mark_of(page), "counted": last_at}
        for _ in range(2):
            answer = client.post("/trials/lettuce-1/take-back", data=form, follow_redirects=False)
            assert (answer.status_code, answer.headers["location"]) == (303, "/trials/lettuce-1")
        assert trials(pantry)["lettuce-1"].counts == before
        again = {"mark": mark_of(client.get("/trials/lettuce-1").text), "counted": last_at}
        assert "has no count of" in words(client.post("/trials/lettuce-1/take-back", data=again))
        again["counted"] = "soon"
        assert "is not a time" in words(client.post("/trials/lettuce-1/take-back", data=again))


def test_an_ended_or_uncounted_trial_has_no_count_to_take_back(pantry: Shelf) -> None:
    with pantry.client() as client:
        where = send(client, "/trials/sow", **SOWN).headers["location"]
        assert "a slip?" not in words(client.get(where))
        send(client, "/trials/lettuce-1/end")
        assert "a slip?" not in words(client.get("/trials/lettuce-1"))
