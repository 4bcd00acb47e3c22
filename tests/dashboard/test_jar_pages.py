"""A jar's forms: what is kept, what is refused with the words kept, and that a second send makes nothing more."""

import re

import pytest
from fastapi.testclient import TestClient

from station.domain.bottling import Bottle
from station.domain.jars import Discarded, Jar, Judgement, Noted, Strained
from station.domain.observations import Juice, Seen, Smell, Surface
from station.domain.packing import Cover, Packing
from station.domain.storage import Storage
from station.store.bottles import Bottles
from station.store.notebook import Notebook
from tests.dashboard.forming import mark_of, send, words
from tests.dashboard.world import Shelf, at

CHOSEN = re.compile(r'name="reason" value="([^"]*)" checked')
EVIL = "<script>alert(1)</script>\"'"


@pytest.fixture
def one(shelf: Shelf) -> Shelf:
    """A shelf with a jar of comfrey that was packed six days ago."""
    shelf.pack("comfrey")
    shelf.now_at = at(6)
    return shelf


def kept(shelf: Shelf) -> Jar:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        return notebook.jar("comfrey-1")


def in_store(shelf: Shelf) -> tuple[Bottle, ...]:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        return Bottles(notebook).bottles()


def test_a_note_is_tapped_and_leads_back_to_the_jar_with_advice(one: Shelf) -> None:
    with one.client() as client:
        answer = send(client, "/jars/comfrey-1/note", juice="covering", smell="sour", text="like cider")
        page = client.get("/jars/comfrey-1")

    assert (answer.status_code, answer.headers["location"]) == (303, "/jars/comfrey-1")
    note = kept(one).notes[0]
    assert (note.seen.juice, note.seen.smell, note.text, note.at) == (Juice.COVERING, Smell.SOUR, "like cider", at(6))
    assert "Sour: it is going on to vinegar." in words(page)


def test_photos_and_another_time_are_kept(one: Shelf) -> None:
    with one.client() as client:
        send(client, "/jars/comfrey-1/note", photos="/photos/1.jpg\r\n/photos/2.jpg", at="2026-05-06T08:30")

    note = kept(one).notes[0]
    assert note.photos == ("/photos/1.jpg", "/photos/2.jpg")
    assert note.at.isoformat() == "2026-05-06T07:30:00+00:00"  # Lisbon is an hour ahead of UTC in May (IANA tz)


def test_straining_may_be_judged_at_once_or_later_and_taken_back(one: Shelf) -> None:
    with one.client() as client:
        send(client, "/jars/comfrey-1/strain", judgement="too early")
        assert (kept(one).strained_at, kept(one).judgement) == (at(6), Judgement.TOO_EARLY)
        send(client, "/jars/comfrey-1/judge", judgement="right")
        assert kept(one).judgement is Judgement.RIGHT
        send(client, "/jars/comfrey-1/judge", judgement="none")
        assert kept(one).judgement is None


def test_the_juice_is_filled_into_several_bottles(one: Shelf) -> None:
    one.record(Strained("comfrey-1", at(5.5)))
    with one.client() as client:
        fields = {"volume_1": "200", "volume_3": "130 mL", "size": "330", "storage": "room"}
        answer = send(client, "/jars/comfrey-1/bottle", **fields)

    assert answer.headers["location"] == "/jars/comfrey-1"
    bottles = in_store(one)
    assert [(bottle.id, bottle.volume_ml) for bottle in bottles] == [("comfrey-1-a", 200.0), ("comfrey-1-b", 130.0)]
    assert {bottle.storage for bottle in bottles} == {Storage.ROOM}
    assert kept(one).juice_ml == 330.0


def test_discarding_takes_a_reason_and_a_second_look(one: Shelf) -> None:
    with one.client() as client:
        refused = send(client, "/jars/comfrey-1/discard", reason="mould", words="green fur")
        assert refused.status_code == 200
        assert 'value="green fur"' in refused.text
        assert kept(one).discarded_at is None
        send(client, "/jars/comfrey-1/discard", reason="mould", words="green fur", sure="yes")

    assert kept(one).discard_reason == "mould, green fur"


def test_the_first_sign_is_answered_with_one_tap(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    shelf.now_at = at(0.6)
    with shelf.client() as client:
        page = client.get("/jars/comfrey-1")
        assert "By now juice should be showing: is it?" in words(page)
        fields = {"mark": mark_of(page.text), "sign": "juice", "answer": "yes"}
        answers = [client.post("/jars/comfrey-1/sign", data=fields, follow_redirects=False) for _ in range(2)]
        after = words(client.get("/jars/comfrey-1"))

    assert [answer.status_code for answer in answers] == [303, 303]
    assert [note.seen.juice for note in kept(shelf).notes] == [Juice.SOME]
    assert "is it?" not in after


@pytest.fixture
def tight(shelf: Shelf) -> Shelf:
    """A shelf with a jar of comfrey under a tight lid."""
    shelf.now_at = at(0.1)
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        notebook.pack("comfrey", at(0), 1000.0, now_at=at(0.1), packing=Packing(cover=Cover.TIGHT_LID))
    return shelf


@pytest.mark.parametrize("cover", ["loose lid", "cloth"])
def test_a_lid_is_loosened_with_one_tap(tight: Shelf, cover: str) -> None:
    with tight.client() as client:
        before = client.get("/jars/comfrey-1")
        assert "a closed jar can burst" in words(before)
        assert "Lid loosened" in words(before)
        fields = {"mark": mark_of(before.text), "cover": cover}
        answers = [client.post("/jars/comfrey-1/cover", data=fields, follow_redirects=False) for _ in range(2)]
        after = words(client.get("/jars/comfrey-1"))

    assert [answer.status_code for answer in answers] == [303, 303]
    assert [note.cover for note in kept(tight).notes] == [Cover(cover)]
    assert "can burst" not in after
    assert "Lid loosened" not in after
    assert f"Cover {cover}" in after


def test_a_note_may_say_what_closes_the_jar_now(tight: Shelf) -> None:
    with tight.client() as client:
        assert send(client, "/jars/comfrey-1/note", cover="paper").status_code == 303
    assert kept(tight).packing.cover is Cover.PAPER


def test_a_cover_that_is_none_is_refused_and_said(tight: Shelf) -> None:
    with tight.client() as client:
        mark = mark_of(client.get("/jars/comfrey-1").text)
        answer = client.post("/jars/comfrey-1/cover", data={"mark": mark})

    assert answer.status_code == 200
    assert "It is not said what closes it now" in words(answer)
    assert kept(tight).notes == ()


def test_an_answer_that_is_none_is_refused(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    shelf.now_at = at(0.6)
    with shelf.client() as client:
        mark = mark_of(client.get("/jars/comfrey-1").text)
        answer = client.post("/jars/comfrey-1/sign", data={"mark": mark, "sign": "juice", "answer": "perhaps"})

    assert answer.status_code == 200
    assert kept(shelf).notes == ()


@pytest.mark.parametrize(
    ("path", "fields", "said"),
    [
        ("note", {"photos": " "}, "The note is empty"),
        ("note", {"text": "x", "smell": "roses"}, "not among the choices"),
        ("note", {"text": "x", "at": "2026-05-01T08:00"}, "it was packed"),
        ("note", {"text": "x", "at": "2100-01-01T08:00"}, "in the future"),
        ("note", {"text": "x", "at": "soon"}, "is not a time"),
        ("note", {"text": "x", "at": "0001-01-01T00:00+14:00"}, "is not a time"),
        ("judge", {}, "nothing is chosen"),
        ("judge", {"judgement": "right"}, "cannot be judged"),
        ("bottle", {"volume_1": "200"}, "cannot be bottled"),
        ("bottle", {"volume_1": "200 g"}, "a volume is wanted"),
    ],
)
def test_what_cannot_be_is_refused_in_place(one: Shelf, path: str, fields: dict[str, str], said: str) -> None:
    before = kept(one)
    with one.client() as client:
        answer = send(client, f"/jars/comfrey-1/{path}", **fields)

    assert answer.status_code == 200
    assert said.casefold() in words(answer).casefold()
    assert kept(one) == before
    assert in_store(one) == ()


def sent_twice(client: TestClient, path: str, **fields: str) -> list[int]:
    mark = mark_of(client.get(path).text)
    return [client.post(path, data={"mark": mark, **fields}, follow_redirects=False).status_code for _ in range(2)]


def test_a_double_send_makes_one_record_at_every_form(one: Shelf) -> None:
    with one.client() as client:
        assert sent_twice(client, "/jars/comfrey-1/note", text="sweet") == [303, 303]
        assert sent_twice(client, "/jars/comfrey-1/strain", judgement="right") == [303, 303]
        assert sent_twice(client, "/jars/comfrey-1/bottle", volume_1="200") == [303, 303]

    assert len(kept(one).notes) == 1
    assert len(in_store(one)) == 1


def test_a_double_discard_is_one(one: Shelf) -> None:
    with one.client() as client:
        assert sent_twice(client, "/jars/comfrey-1/discard", sure="yes") == [303, 303]

    assert kept(one).discarded_at == at(6)


def test_a_reason_left_open_is_not_replaced_by_mould_when_the_form_comes_back(one: Shelf) -> None:
    one.record(Noted("comfrey-1", at(6), "", Seen(surface=Surface.FUZZY)))
    with one.client() as client:
        path = "/jars/comfrey-1/discard"
        assert CHOSEN.findall(client.get(path).text) == ["mould"]
        assert CHOSEN.findall(send(client, path, reason="", words="dropped it").text) == [""]


def test_markup_in_notes_reasons_and_places_stays_text(one: Shelf) -> None:
    with one.client() as client:
        send(client, "/jars/comfrey-1/note", text=EVIL, photos=EVIL)
        send(client, "/jars/comfrey-1/discard", words=EVIL, sure="yes")
        page = client.get("/jars/comfrey-1").text
        form = send(client, "/jars/comfrey-1/note", text=EVIL, at="soon").text

    assert "<script>alert" not in page
    assert "<script>alert" not in form
    assert page.count("&lt;script&gt;alert") == 3


def test_the_list_shows_the_shelf_and_on_request_everything(one: Shelf) -> None:
    one.pack("nettle")
    one.record(Discarded("nettle-1", at(1)))
    with one.client() as client:
        here, everything = words(client.get("/jars")), words(client.get("/jars?show=all"))

    assert "Comfrey" in here
    assert "Nettle" not in here
    assert "Nettle" in everything


def test_what_has_stood_longest_comes_first_as_on_the_shelf(one: Shelf) -> None:
    one.pack("nettle", at(2))
    one.now_at = at(3)
    with one.client() as client:
        here, everything = words(client.get("/jars")), words(client.get("/jars?show=all"))

    assert here.index("Comfrey") < here.index("Nettle")
    assert everything.index("Nettle") < everything.index("Comfrey")


def test_juice_collected_too_early_is_said_to_be_not_all(one: Shelf) -> None:
    """It drips overnight, until the morning (common practice: about twelve hours)."""
    one.record(Strained("comfrey-1", at(5, hours=12)))
    asked = "/jars/comfrey-1/bottle"
    with one.client() as client:
        one.now_at = at(5, hours=14)
        assert "It is to drip until Sun 10 May 07:00" in words(client.get(asked))
        one.now_at = at(6)
        assert "It is to drip" not in words(client.get(asked))


def test_an_empty_list_leads_to_packing(shelf: Shelf) -> None:
    with shelf.client() as client:
        assert 'href="/jars/pack"' in client.get("/jars").text


def test_the_page_says_what_the_need_rests_on_and_draws_the_warmth(kitchen: Shelf) -> None:
    with kitchen.client() as client:
        page = client.get("/jars/comfrey-1")

    assert "Its need: no jar judged yet; as is usual: 5.5 warm-days, give or take" in words(page)
    assert 'id="warmth-title"' in page.text
    assert "likely need" in page.text


def test_a_note_by_mistake_is_taken_back_beside_it(one: Shelf) -> None:
    with one.client() as client:
        send(client, "/jars/comfrey-1/note", smell="foul", surface="fuzzy")
        one.now_at = at(6, minutes=1)
        send(client, "/jars/comfrey-1/note", smell="sweet", surface="clear")
        page = client.get("/jars/comfrey-1")
        assert "An earlier note still counts. Fuzzy or coloured mould" in words(page)
        assert "Nothing to do" not in words(page)
        slip = kept(one).notes[0]
        form = {"mark": mark_of(page.text), "note": slip.at.isoformat()}
        assert form["note"] in page.text
        for _ in range(2):
            answer = client.post("/jars/comfrey-1/take-back", data=form, follow_redirects=False)
            assert (answer.status_code, answer.headers["location"]) == (303, "/jars/comfrey-1")
        after = words(client.get("/jars/comfrey-1"))

    assert [note.seen.smell for note in kept(one).notes] == [Smell.SWEET]
    assert "Fuzzy or coloured mould: discard" not in after
    assert "Nothing to do: looks as it should." in after


def test_a_note_that_is_not_there_cannot_be_taken_back(one: Shelf) -> None:
    with one.client() as client:
        for note, reason in (
            ("", "it is not said which note"),
            ("soon", "is not a time"),
            ("2026-05-05", "no note of"),
        ):
            page = client.get("/jars/comfrey-1/note")
            answer = client.post("/jars/comfrey-1/take-back", data={"mark": mark_of(page.text), "note": note})
            assert reason in words(answer).lower()


def test_more_juice_than_the_jar_holds_is_kept_only_when_ticked(one: Shelf) -> None:
    fields = {"volume_1": "700 mL", "volume_2": "700 mL"}
    with one.client() as client:
        send(client, "/jars/comfrey-1/strain")
        assert 'name="anyway"' not in client.get("/jars/comfrey-1/bottle").text
        answer = send(client, "/jars/comfrey-1/bottle", **fields)
        assert "of juice from jar comfrey-1, which holds 1 L" in words(answer)
        assert 'name="anyway"' in answer.text
        assert in_store(one) == ()
        assert "5 L" in words(send(client, "/jars/comfrey-1/bottle", volume_1="200 mL", juice="5 L"))
        assert send(client, "/jars/comfrey-1/bottle", anyway="yes", **fields).status_code == 303
    assert kept(one).juice_ml == 1400.0


def test_more_juice_than_went_in_is_said_on_the_jars_page(shelf: Shelf) -> None:
    with shelf.client() as client:
        send(client, "/jars/pack", plant="comfrey", weight="125 g", sugar="125 g")
        shelf.now_at = at(6)
        send(client, "/jars/comfrey-1/strain")
        send(client, "/jars/comfrey-1/bottle", volume_1="400 mL")
        assert "of plant and sugar that went in" in words(client.get("/jars/comfrey-1"))


def test_what_was_packed_is_corrected(one: Shelf) -> None:
    with one.client() as client:
        assert "/jars/comfrey-1/correct" in client.get("/jars/comfrey-1").text
        path = "/jars/comfrey-1/correct"
        assert "Now: 130 g" in words(client.get(path))
        assert "nothing to correct is said" in words(send(client, path)).lower()
        assert "'much' is not a weight" in words(send(client, path, weight="much"))
        answer = send(client, path, plant="nettle", weight="250", size="2 L")
        assert answer.headers["location"] == "/jars/comfrey-1"
    assert (kept(one).plant, kept(one).plant_g, kept(one).jar_ml) == ("nettle", 250.0, 2000.0)
