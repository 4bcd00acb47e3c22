"""Feeding over HTTP: a can worked out without keeping anything, a feeding that draws from its bottle, rounds."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from station.domain.feeding import Fed
from station.domain.quantities import volume_ml
from station.domain.rounds import Round
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.rounds import Rounds
from tests.dashboard.forming import left_ml, mark_of, send, words
from tests.dashboard.pantry import NOW, a_pantry
from tests.dashboard.reading import EVIL, Words, read
from tests.dashboard.world import Shelf

GIVE = "/feeding/give"


@pytest.fixture
def pantry(tmp_path: Path) -> Shelf:
    return a_pantry(tmp_path)


def fed(shelf: Shelf) -> tuple[Fed, ...]:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        return Feedings(notebook).feedings()


def rounds(shelf: Shelf) -> dict[str, Round]:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        return {one.id: one for one in Rounds(notebook).rounds(Feedings(notebook).feedings())}


def values(page: str) -> dict[str | None, str | None]:
    return {attributes.get("name"): attributes.get("value") for tag, attributes in Words(page).tags if tag == "input"}


def test_the_page_says_what_is_due_and_what_soaks(pantry: Shelf) -> None:
    page = read(pantry, "/feeding").text

    assert "Leaf spray, beans: due now, 2 Jun to 5 Jun, in the morning" in page
    assert "Lettuce seeds: leave them in" in page
    assert "they may come out from 08:10" in page
    assert "10 min left" in page
    assert "Good time: leaves take it up" in page


def test_an_empty_page_says_what_to_do_first(shelf: Shelf) -> None:
    page = read(shelf, "/feeding").text

    assert "No round yet." in page
    assert "no bottle in store" in page
    assert not (shelf.folder / "notebook.db").exists()


def test_a_can_is_worked_out_without_script_and_nothing_is_kept(shelf: Shelf) -> None:
    page = read(shelf, "/feeding/can?can=5+L&ratio=500&counts=in").text

    assert "For a can of 5 L (1.32 gal)" in page
    assert "10 mL (2.03 tsp)" in page  # 5 L / 500
    assert "one part in 500 of the whole, so 499 of water" in page
    assert not (shelf.folder / "notebook.db").exists()


def test_what_was_worked_out_fills_in_a_feeding(pantry: Shelf) -> None:
    with pantry.client() as client:
        page = Words(client.get("/feeding/can?water=10L").text)
        link = next(
            href for tag, attributes in page.tags if tag == "a" and (href := attributes.get("href")) and "give?" in href
        )
        filled = values(client.get(link).text)

    assert "Take it from borage-1-a" in page.text
    assert (filled["can"], filled["juice"], filled["water"], filled["ratio"]) == ("", "", "10 L", "1 to 500")


@pytest.mark.parametrize("can", ["10 L", "1000 L", "2 gal", "7.3 L"])
def test_a_can_is_handed_on_as_it_was_said_and_the_sums_are_right(pantry: Shelf, can: str) -> None:
    """1 to 500 (common practice): of 10 L as a whole a 501st part is juice, 19.96 mL."""
    with pantry.client() as client:
        page = Words(client.get("/feeding/can", params={"can": can}).text)
        link = next(href for tag, one in page.tags if tag == "a" and (href := one.get("href")) and "give?" in href)
        filled = values(client.get(link).text)
        assert (filled["juice"], filled["water"]) == ("", "")
        send(client, GIVE, method="drench", bottle="none", can=filled["can"], ratio=filled["ratio"], place="beans")
    given = max(fed(pantry), key=lambda one: one.at)
    assert given.juice_ml + given.water_ml == pytest.approx(volume_ml(can))
    assert given.water_ml / given.juice_ml == pytest.approx(500.0)


def test_the_part_that_a_script_asks_for_says_what_is_wrong(pantry: Shelf) -> None:
    with pantry.client() as client:
        part = client.get("/feeding/can/worked?water=seven").text
        amounts = client.get("/feeding/worked?can=5L").text

    assert "<html" not in part
    assert "&#39;seven&#39; is not a volume" in part
    assert "For a can of 5" in amounts
    assert "Feed with it" not in amounts


def test_a_feeding_draws_from_its_bottle(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, GIVE, method="drench", bottle="comfrey-1-b", water="10 L", place="tomatoes")

        assert answer.headers["location"] == "/feeding#feed-4"
        assert "Drench, tomatoes: 20 mL (1.35 tbsp) juice in 10 L (2.64 gal) water" in words(client.get("/feeding"))
        assert "drench, tomatoes" in words(client.get("/bottles/comfrey-1-b"))
    assert left_ml(pantry.folder, "comfrey-1-b") == pytest.approx(160.0 - 0.2 - 20.0)
    assert fed(pantry)[0].at == NOW


def test_juice_from_elsewhere_may_be_fed_on_an_empty_shelf(shelf: Shelf) -> None:
    with shelf.client() as client:
        answer = send(client, GIVE, method="compost", bottle="none", juice="20 mL", water="1 L")

    assert answer.status_code == 303
    assert [(one.bottle_id, one.juice_ml, one.water_ml) for one in fed(shelf)] == [("", 20.0, 1000.0)]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"can": "5 L"}, "The method is not said. Choose how it was given."),
        ({"method": "drench"}, "No amount is said."),
        ({"method": "drench", "can": "five"}, "'five' is not a volume that can be read."),
        ({"method": "drench", "juice": "-5 mL"}, "'-5 mL' is negative."),
        ({"method": "drench", "can": "5 L", "ratio": "0"}, "is more juice than water"),
        ({"method": "drench", "can": "5 L", "bottle": "nothing-1-a"}, "There is no bottle nothing-1-a."),
        ({"method": "drench", "juice": "1 L", "bottle": "comfrey-1-a"}, "has 100 mL (3.38 fl oz) left, and 1 L"),
        ({"method": "drench", "can": "5 L", "round": "nothing-1"}, "there is no round nothing-1"),
        ({"method": "fog", "can": "5 L"}, "'fog' is not among the choices"),
        ({"method": "drench", "can": "5 L", "at": "2030-01-01T07:00"}, "in the future"),
        (
            {"method": "seed soak", "water": "100 mL", "at": "2026-06-03T07:30", "until": "2026-06-03T07:00"},
            "They came out before they went in.",
        ),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_kept(pantry: Shelf, fields: dict[str, str], said: str) -> None:
    with pantry.client() as client:
        answer = send(client, GIVE, note="kept", **{"bottle": "none", **fields})

    assert answer.status_code == 200
    assert said.lower() in words(answer).lower()
    found = values(answer.text)
    assert found["note"] == "kept"
    assert {name: found[name] for name in ("can", "juice", "water") if name in fields} == {
        name: fields[name] for name in ("can", "juice", "water") if name in fields
    }
    assert len(fed(pantry)) == 3


def test_more_than_the_bottle_has_is_kept_only_when_ticked(pantry: Shelf) -> None:
    fields = {"method": "drench", "bottle": "comfrey-1-a", "juice": "130 mL"}
    with pantry.client() as client:
        assert 'name="anyway"' in send(client, GIVE, **fields).text
        assert send(client, GIVE, anyway="yes", **fields).status_code == 303
    assert left_ml(pantry.folder, "comfrey-1-a") == 0.0


def test_a_feeding_of_more_than_half_a_bottle_sent_twice_is_one_and_not_refused(pantry: Shelf) -> None:
    with pantry.client() as client:
        fields = {"mark": mark_of(client.get(GIVE).text), "method": "drench", "bottle": "comfrey-1-a", "juice": "60 mL"}
        sent = [client.post(GIVE, data=fields, follow_redirects=False) for _ in range(2)]
    assert [answer.headers.get("location") for answer in sent] == ["/feeding#feed-4"] * 2
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(40.0)


def test_one_form_sent_from_two_tabs_at_once_is_one_feeding(pantry: Shelf) -> None:
    with pantry.client() as client:
        fields = {
            "mark": mark_of(client.get(GIVE).text),
            "method": "drench",
            "bottle": "comfrey-1-b",
            "water": "10 L",
        }
        with ThreadPoolExecutor(2) as tabs:
            sent = [tabs.submit(client.post, GIVE, data=fields, follow_redirects=False) for _ in range(2)]
            assert {one.result().headers["location"] for one in sent} == {"/feeding#feed-4"}
    assert len(fed(pantry)) == 4
    assert left_ml(pantry.folder, "comfrey-1-b") == pytest.approx(139.8)


def test_seeds_are_taken_out_with_one_tap_and_the_soak_is_over(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, "/feeding", action="/feeding/feed-3/out")
        assert answer.headers["location"] == "/feeding"
        page = words(client.get("/feeding"))
        again = send(client, GIVE, action="/feeding/feed-3/out")
    assert "leave them in" not in page
    assert "07:50 to 08:00" in page
    assert again.status_code == 200
    assert "The seeds of feed-3 were taken out at Wed 3 Jun 2026 08:00." in words(again)


def test_only_seeds_are_taken_out(pantry: Shelf) -> None:
    with pantry.client() as client:
        refused = send(client, GIVE, action="/feeding/feed-1/out")
        unknown = send(client, GIVE, action="/feeding/nothing-1/out")
    assert "feed-1 was no seed soak" in words(refused)
    assert "there is no feeding nothing-1" in words(unknown).lower()
    assert [one.until_at for one in fed(pantry)] == [None, None, None]


def test_done_leads_to_a_filled_in_form_and_the_round_moves_on(pantry: Shelf) -> None:
    with pantry.client() as client:
        filled = client.get(f"{GIVE}?round=beans-1").text
        assert values(filled)["water"] == "5 L"
        assert values(filled)["place"] == "beans"
        assert '<option value="beans-1" selected>' in filled
        send(client, GIVE, method="leaf spray", bottle="comfrey-1-a", water="5 L", place="beans", round="beans-1")

        assert "Leaf spray, beans: next 10 Jun to 13 Jun" in words(client.get("/feeding"))


def test_a_skipped_feeding_counts_from_then(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, "/feeding/rounds/beans-1/skip", reason="rain")

        assert answer.headers["location"] == "/feeding"
        assert "Leaf spray, beans: next 10 Jun to 13 Jun" in words(client.get("/feeding"))
    assert rounds(pantry)["beans-1"].skipped_at == (NOW,)


def test_a_round_is_set_up_once_changed_and_ended(pantry: Shelf) -> None:
    with pantry.client() as client:
        fields = {
            "mark": mark_of(client.get("/feeding/rounds/new").text),
            "method": "drench",
            "place": "leeks",
            "every": "14-21",
            "water": "2 gal",
            "ratio": "800",
            "first": "2026-06-10",
        }
        for _ in range(2):
            client.post("/feeding/rounds/new", data=fields, follow_redirects=False)
        assert "Drench, leeks: next 10 Jun to 17 Jun" in words(client.get("/feeding"))

        change = "/feeding/rounds/leeks-1"
        assert values(client.get(change).text)["every"] == "14-21"
        send(client, change, method="drench", place="leeks", every="7", first="2026-06-09")
        assert "Drench, leeks: next 9 Jun" in words(client.get("/feeding"))

        send(client, f"{change}/stop", reason="eaten")
        assert "leeks" not in words(client.get("/feeding"))
        assert send(client, f"{change}/skip").status_code == 200
    assert sorted(rounds(pantry)) == ["beans-1", "leeks-1", "tomatoes-1"]
    assert rounds(pantry)["leeks-1"].rule.least_days == 7


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"every": "often"}, "every 'often' days"),
        ({"every": "10-7"}, "Every 10 to 7 days."),
        ({"every": "0"}, "Every 0 to 0 days."),
        ({"water": "five"}, "'five' is not a volume that can be read."),
        ({"ratio": "-1"}, "cannot be read"),
        ({"first": "soon"}, "'soon' is not a day"),
        ({"first": "9999-12-31"}, "'9999-12-31' is not a day"),
    ],
)
def test_a_round_that_cannot_be_is_not_set_up(pantry: Shelf, fields: dict[str, str], said: str) -> None:
    with pantry.client() as client:
        answer = send(client, "/feeding/rounds/new", place="leeks", **fields)

    assert answer.status_code == 200
    assert said.lower() in words(answer).lower()
    assert values(answer.text)["place"] == "leeks"
    assert len(rounds(pantry)) == 2


def test_a_round_of_nothing_is_not_set_up(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, "/feeding/rounds/new")

    assert "It is not said what is fed" in words(answer)
    assert len(rounds(pantry)) == 2


def test_an_unknown_round_is_not_there(pantry: Shelf) -> None:
    assert "there is no round nothing-1" in read(pantry, "/feeding/rounds/nothing-1/skip", 404).text.lower()


def test_markup_in_feedings_and_rounds_stays_text(pantry: Shelf) -> None:
    with pantry.client() as client:
        send(client, GIVE, method="drench", bottle="none", can="5 L", place=EVIL, note=EVIL)
        where = send(client, "/feeding/rounds/new", place=EVIL, note=EVIL).headers["location"]
        for path in (where, f"{GIVE}?place={EVIL}&method=%3Cb%3E", "/feeding/can?can=%3Cscript%3E"):
            page = Words(client.get(path).text)
            assert not [tag for tag, attributes in page.tags if "onerror" in attributes], path
            assert [attributes for tag, attributes in page.tags if tag == "script" and not attributes.get("src")] == []
        assert EVIL.lower() in Words(client.get("/feeding").text).text.lower()
