"""Bottles over HTTP: forms that keep what was typed, draw from the stock, and count once."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from station.store.bottles import Bottles
from station.store.notebook import Notebook
from tests.dashboard.forming import left_ml, mark_of, send, words
from tests.dashboard.pantry import NOW, a_pantry
from tests.dashboard.reading import EVIL, Words, read
from tests.dashboard.world import Shelf

ONE = "/bottles/comfrey-1-a"


@pytest.fixture
def pantry(tmp_path: Path) -> Shelf:
    return a_pantry(tmp_path)


def test_the_store_shows_what_there_is_oldest_first(pantry: Shelf) -> None:
    page = read(pantry, "/bottles").text

    assert "4 bottles in store: 960 mL" in page
    assert page.index("borage-1-a") < page.index("comfrey-1-a") < page.index("horsetail-a")
    assert "Lid loose until Sun 14 Jun" in page


def test_an_empty_store_says_what_to_do_first(shelf: Shelf) -> None:
    page = read(shelf, "/bottles").text

    assert "No bottle in store" in page
    assert "bottle its juice from the jar's own page" in page
    assert not (shelf.folder / "notebook.db").exists()


def test_a_bottle_leads_to_its_jar_its_label_and_its_forms(pantry: Shelf) -> None:
    page = read(pantry, ONE)
    links = {value for tag, attributes in page.tags if tag == "a" for value in [attributes.get("href")]}

    assert {"/jars/comfrey-1", "/labels?bottle=comfrey-1-a", f"{ONE}/use", f"{ONE}/move", f"{ONE}/empty"} <= links
    assert "leaf spray, beans" in page.text
    assert "bar above the air outside" in page.text


def test_an_unknown_bottle_is_not_there(pantry: Shelf) -> None:
    for path in ("/bottles/nothing-9-z", "/bottles/nothing-9-z/use"):
        assert "there is no bottle nothing-9-z" in read(pantry, path, 404).text.lower()


def test_some_is_taken_out_and_the_stock_goes_down(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, f"{ONE}/use", amount="20 mL", note="for the roses")

        assert (answer.status_code, answer.headers["location"]) == (303, ONE)
        assert "20 mL (1.35 tbsp) taken out: for the roses" in words(client.get(ONE))
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(80.0)


def test_a_bare_number_is_in_the_unit_of_its_label(pantry: Shelf) -> None:
    with pantry.client() as client:
        assert "How much, mL" in words(client.get(f"{ONE}/use"))
        assert send(client, f"{ONE}/use", amount="20").status_code == 303
        where = send(client, "/bottles/new", source="borage", amount="200", size="330").headers["location"]

        assert "200 mL (6.76 fl oz) left" in words(client.get(where))
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(80.0)


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        ("", "There is no amount. Say how much: 20 mL."),
        ("some", "'some' is not a volume that can be read."),
        ("-5 mL", "'-5 mL' is negative."),
        ("0 mL", "'0 mL' is not a volume above 0."),
        ("5 g", "'5 g' is a weight, and a volume is wanted."),
        ("1 L", "100 mL (3.38 fl oz) are left, and 1 L (1.06 qt) are wanted."),
    ],
)
def test_what_cannot_be_is_said_in_place_and_kept_in_the_field(pantry: Shelf, amount: str, said: str) -> None:
    with pantry.client() as client:
        answer = send(client, f"{ONE}/use", amount=amount, note="kept <b>words</b>")

    page = Words(answer.text)
    assert answer.status_code == 200
    assert said in page.text
    values = {attributes.get("name"): attributes.get("value") for tag, attributes in page.tags if tag == "input"}
    assert (values["amount"], values["note"]) == (amount, "kept <b>words</b>")
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(100.0)


def test_more_than_is_left_is_kept_only_when_ticked_and_then_said(pantry: Shelf) -> None:
    with pantry.client() as client:
        assert 'name="anyway"' not in client.get(f"{ONE}/use").text
        assert 'name="anyway"' in send(client, f"{ONE}/use", amount="130 mL").text
        assert send(client, f"{ONE}/use", amount="130 mL", anyway="yes").status_code == 303

        page = words(client.get(ONE))
    assert "130 mL (4.4 fl oz) taken out" in page
    with Notebook.open(pantry.folder / "notebook.db") as notebook:
        assert Bottles(notebook).bottle("comfrey-1-a").over_ml == pytest.approx(30.0)


def test_one_form_sent_from_two_tabs_at_once_takes_out_once(pantry: Shelf) -> None:
    with pantry.client() as client:
        fields = {"mark": mark_of(client.get(f"{ONE}/use").text), "amount": "10 mL"}
        with ThreadPoolExecutor(2) as tabs:
            sent = [tabs.submit(client.post, f"{ONE}/use", data=fields, follow_redirects=False) for _ in range(2)]
            assert [one.result().status_code for one in sent] == [303, 303]
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(90.0)


def test_more_than_half_a_bottle_sent_twice_is_taken_out_once_and_not_refused(pantry: Shelf) -> None:
    """Refused the second time, it would look as if nothing had been kept, and be sent a third time."""
    with pantry.client() as client:
        fields = {"mark": mark_of(client.get(f"{ONE}/use").text), "amount": "60 mL"}
        sent = [client.post(f"{ONE}/use", data=fields, follow_redirects=False) for _ in range(2)]
    assert [answer.status_code for answer in sent] == [303, 303]
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(40.0)


def test_a_form_gone_back_to_and_sent_with_another_amount_is_another_record(pantry: Shelf) -> None:
    with pantry.client() as client:
        mark = mark_of(client.get(f"{ONE}/use").text)
        for amount in ("10 mL", "30 mL", "30 mL"):
            client.post(f"{ONE}/use", data={"mark": mark, "amount": amount}, follow_redirects=False)
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(60.0)


def test_a_strange_mark_writes_nothing(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = client.post(f"{ONE}/use", data={"mark": "stolen.mark", "amount": "10 mL"})

    assert answer.status_code == 422
    assert "Send it once more" in answer.text
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(100.0)


def test_a_time_before_the_filling_is_refused_in_the_growers_zone(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, f"{ONE}/use", amount="10 mL", at="2026-05-01T08:00")

    assert answer.status_code == 200
    assert "it was filled at Mon 11 May 2026 07:00" in words(answer)
    assert '<details class="more" open>' in answer.text


def test_a_bottle_is_moved_closed_and_emptied(pantry: Shelf) -> None:
    with pantry.client() as client:
        send(client, f"{ONE}/move", storage="room")
        assert "at room temperature, keeps until" in words(client.get(ONE)).lower()
        send(client, f"{ONE}/close")
        assert "Lid closed" in words(client.get(ONE))
        assert f"{ONE}/close" not in client.get(ONE).text
        send(client, f"{ONE}/empty", reason="spilt")

        assert "Emptied: spilt" in words(client.get(ONE))
        assert f"{ONE}/use" not in client.get(ONE).text
        assert "Empty bottles (1)" in words(client.get("/bottles"))
        assert send(client, f"{ONE}/use", amount="10 mL", anyway="yes").status_code == 200


def test_a_fresh_lid_is_closed_with_a_warning(pantry: Shelf) -> None:
    page = read(pantry, "/bottles/borage-1-a/close").text

    assert "gas may still come, and a closed bottle can burst" in page
    assert "Never close a working jar or a fresh bottle tightly" in page


def test_a_bottle_from_elsewhere_is_written_down_once(pantry: Shelf) -> None:
    with pantry.client() as client:
        fields = {
            "mark": mark_of(client.get("/bottles/new").text),
            "source": "gift of mugwort",
            "amount": "1 cup",
            "size": "330 mL",
            "storage": "room",
        }
        answers = [client.post("/bottles/new", data=fields, follow_redirects=False) for _ in range(2)]

        assert {answer.headers["location"] for answer in answers} == {"/bottles/gift-of-mugwort-a"}
        assert words(client.get("/bottles")).count("gift-of-mugwort-") == 1
    assert left_ml(pantry.folder, "gift-of-mugwort-a") == pytest.approx(236.588, abs=0.001)


def test_a_bottle_may_come_from_a_jar_collected_before(pantry: Shelf) -> None:
    with pantry.client() as client:
        answer = send(client, "/bottles/new", source="comfrey-1", amount="50mL")

        assert answer.headers["location"] == "/bottles/comfrey-1-c"
        assert "Its jar: comfrey-1" in words(client.get("/bottles/comfrey-1-c"))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"amount": "50 mL"}, "The source is empty. Name the plant or the jar."),
        ({"source": "borage", "amount": "some"}, "'some' is not a volume that can be read."),
        ({"source": "borage", "amount": "1 L", "size": "330 mL"}, "1 L (1.06 qt) in a bottle of 330 mL"),
        ({"source": "borage", "amount": "1 L", "at": "2030-01-01T08:00"}, "in the future"),
    ],
)
def test_a_bottle_that_cannot_be_is_not_written_down(pantry: Shelf, fields: dict[str, str], said: str) -> None:
    with pantry.client() as client:
        answer = send(client, "/bottles/new", **fields)

    assert answer.status_code == 200
    assert said in words(answer)
    with Notebook.open(pantry.folder / "notebook.db") as notebook:
        assert len(Bottles(notebook).bottles()) == 4


def test_markup_in_a_bottle_stays_text(pantry: Shelf) -> None:
    with pantry.client() as client:
        where = send(client, "/bottles/new", source=EVIL, amount="50 mL", note=EVIL).headers["location"]
        for path in (where, f"{where}/use", f"{where}/close", "/bottles"):
            page = Words(client.get(path).text)
            assert EVIL.lower() in page.text.lower(), path
            assert not [tag for tag, attributes in page.tags if "onerror" in attributes]


def test_the_time_of_the_pages_is_that_of_the_shelf(pantry: Shelf) -> None:
    with pantry.client() as client:
        send(client, f"{ONE}/use", amount="10 mL")
    with Notebook.open(pantry.folder / "notebook.db") as notebook:
        last = next(told for told in Bottles(notebook).told() if told[0].bottle_id == "comfrey-1-a")[-1]
    assert last.at == NOW


def test_a_bottle_that_another_phone_emptied_meanwhile_is_said_without_a_command(pantry: Shelf) -> None:
    with pantry.client() as client:
        path = f"{ONE}/move"
        mark = mark_of(client.get(path).text)
        send(client, f"{ONE}/empty")
        answer = client.post(path, data={"mark": mark, "storage": "room"}, follow_redirects=False)
    assert answer.status_code == 200
    assert "See what is in store: Bottles." in words(answer)
    assert "jarside bottle" not in words(answer)
