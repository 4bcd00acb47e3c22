"""Forms: what was typed stays, what is wrong is said at its field, and a mark is known or strange."""

from zoneinfo import ZoneInfo

import pytest
from starlette.datastructures import QueryParams

from dashboard.forms import Form, Marks
from dashboard.turns import BusyError
from station.domain.packing import Cover
from station.domain.quantities import weight_g
from station.errors import JarsideError, NotebookError, StoreError
from tests.builders import START
from tests.dashboard.world import MANNER, Shelf, at


def test_a_field_is_read_or_says_what_is_wrong_and_keeps_what_was_typed() -> None:
    form = Form({"weight": [" 260g "], "sugar": ["a lot"]})

    assert form.read("weight", weight_g) == 260.0
    assert form.ok
    assert form.read("sugar", weight_g) is None
    wrong = form.wrong("sugar")
    assert wrong is not None
    assert "a lot" in wrong.what
    assert not form.ok
    assert form.text("sugar") == "a lot"


def test_an_empty_field_is_none_unless_it_is_needed() -> None:
    form = Form()

    assert form.read("weight", weight_g) is None
    assert form.ok
    assert form.needed("plant", str, "no plant is named", "Name it.") is None
    assert not form.ok


def test_a_field_shows_what_it_begins_with_until_somebody_filled_in_the_form() -> None:
    assert Form().shown("ratio", "500") == "500"
    assert Form({"ratio": [""]}).shown("ratio", "500") == ""
    assert Form.asked(QueryParams("ratio=&can=5")).shown("ratio", "500") == "500"
    assert (Form().sent, Form({"ratio": [""]}).sent) == (False, True)


def test_a_choice_that_is_none_of_the_choices_is_wrong() -> None:
    assert Form({"cover": ["cloth"]}).choice("cover", Cover) is Cover.CLOTH
    assert Form().choice("cover", Cover, Cover.CLOTH) is Cover.CLOTH
    form = Form({"cover": ["concrete"]})
    assert form.choice("cover", Cover) is None
    assert form.wrong("cover") is not None


def test_a_time_without_offset_is_local() -> None:
    form = Form({"at": ["2026-07-01T08:00"], "wrong": ["dawn"]})

    assert form.moment("at", MANNER.zone, at(0)).isoformat() == "2026-07-01T08:00:00+01:00"
    assert form.moment("none", MANNER.zone, at(0)) == at(0)
    assert form.moment("wrong", MANNER.zone, at(0)) == at(0)
    assert form.wrong("wrong") is not None


def test_a_mark_is_ours_only_with_our_key_and_its_session() -> None:
    marks = Marks(b"key")
    mark = marks.new("session")

    assert marks.spent("session", mark) == mark.partition(".")[0]
    assert marks.spent("another", mark) is None
    assert Marks(b"another key").spent("session", mark) is None
    assert marks.spent("session", "") is None
    assert marks.spent("session", "." + mark.partition(".")[2]) is None
    assert marks.new("session") != mark


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", "http://testserver.elsewhere.example"])
def test_what_another_site_sends_is_refused(shelf: Shelf, origin: str) -> None:
    with shelf.client() as client:
        answer = client.post("/jars/pack", data={"plant": "comfrey"}, headers={"origin": origin})

    assert answer.status_code == 403


def test_what_our_own_page_sends_passes_the_gate(shelf: Shelf) -> None:
    with shelf.client() as client:
        host = client.base_url.netloc.decode()
        answer = client.post("/nowhere", headers={"origin": f"http://{host}"})

    assert answer.status_code == 404


def test_an_error_is_said_in_the_readers_time_with_the_pages_remedy() -> None:
    error = JarsideError(("the jar was packed at ", START), "Look: jarside jar list.", "Look under Jars.")
    form = Form()
    form.blame("at", error)
    lisbon = ZoneInfo("Europe/Lisbon")
    assert form.wrong("at") is error
    assert error.page_text_in(lisbon) == "the jar was packed at Mon 4 May 2026 07:00. Look under Jars."
    assert error.text_in(lisbon).endswith("Look: jarside jar list.")
    assert JarsideError("no time", "Check it.").page_text_in(lisbon) == "no time. Check it."


def test_a_form_that_cannot_be_kept_is_a_page_like_others_unless_the_store_failed() -> None:
    def written(error: JarsideError) -> Form:
        def write() -> None:
            raise error

        form = Form({"amount": ["1 L"]})
        assert form.kept(write) is None
        assert (form.problem, form.text("amount")) == (error, "1 L")
        return form

    assert written(NotebookError("it is empty", "Take another.")).status == 200
    assert written(StoreError("the card is full", "Free some space.")).status == 503
    assert written(BusyError("too many", "Ask again.")).status == 429


def test_a_box_that_means_it_anyway_is_offered_only_where_a_refusal_names_it() -> None:
    form = Form({"amount": ["1 L"]})
    assert not form.offers("anyway")
    form.refuse("amount", "too much", "Take less.", unless="anyway")
    assert form.offers("anyway")
    assert Form({"anyway": ["yes"]}).offers("anyway")
