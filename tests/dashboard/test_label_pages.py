"""Labels on the pages: what may be chosen, sheets of true size, and codes that lead to the pages of others."""

import re

import pytest

from tests.dashboard.forming import words
from tests.dashboard.world import Shelf


def test_jars_on_the_shelf_and_bottles_in_store_may_be_chosen(stocked: Shelf) -> None:
    with stocked.client() as client:
        page = client.get("/labels?bottle=nettle-1-a").text

    assert re.findall(r'name="name" value="([^"]+)"( checked)?', page) == [
        ("comfrey-1", ""),
        ("nettle-1-a", " checked"),
    ]


@pytest.mark.parametrize(
    ("paper", "size"),
    [("a4", 'width="210mm" height="297mm"'), ("letter", 'width="215.9mm" height="279.4mm"')],  # ISO 216; 8.5 x 11 in
)
def test_a_sheet_is_of_the_papers_true_size(stocked: Shelf, paper: str, size: str) -> None:
    with stocked.client() as client:
        query = {"name": ["comfrey-1", "nettle-1-a"], "paper": paper, "first": "2"}
        page = client.get("/labels/sheet", params=query).text

    assert page.count('class="sheet"') == 1
    assert size in page
    assert page.count("Label of") == 2
    assert "style=" not in page  # the strict policy allows none
    assert "<style" not in page


def test_sizes_and_copies_are_taken(stocked: Shelf) -> None:
    query = {"name": "comfrey-1", "paper": "a4", "size": "63,5 x 38.1", "gap": "2.5x0", "copies": "22"}
    with stocked.client() as client:
        page = client.get("/labels/sheet", params=query).text

    assert page.count("Label of comfrey-1") == 22
    assert page.count('class="sheet"') == 2  # 3 × 7 fit on A4
    assert 'width="63.5" height="38.1"' in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"paper": "a4"}, "nothing is chosen"),
        ({"name": "comfrey-9", "paper": "a4"}, "there is no jar or bottle"),
        ({"name": "comfrey-1"}, "no paper is chosen"),
        ({"name": "comfrey-1", "paper": "a3"}, "paper 'a3' is not known"),
        ({"name": "comfrey-1", "paper": "a4", "size": "large"}, "cannot be read"),
        ({"name": "comfrey-1", "paper": "a4", "size": "10x10"}, "at least 40 × 20 mm"),
        ({"name": "comfrey-1", "paper": "a4", "first": "99"}, "place 99"),
        ({"name": "comfrey-1", "paper": "a4", "copies": "101"}, "from 1 to 100"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_in_place(stocked: Shelf, query: dict[str, str], said: str) -> None:
    with stocked.client() as client:
        answer = client.get("/labels/sheet", params=query)

    assert answer.status_code == 200
    assert said.casefold() in words(answer).casefold()


def test_a_label_alone_leads_to_its_page_under_a_name_that_others_know(stocked: Shelf) -> None:
    with stocked.client() as client:
        jar, bottle = client.get("/jars/comfrey-1/label").text, client.get("/bottles/nettle-1-a/label").text

    assert "http://kitchen.local:8420/jars/comfrey-1" in jar
    assert "http://kitchen.local:8420/bottles/nettle-1-a" in bottle
    assert "A phone cannot follow" not in jar


def test_where_only_this_machine_may_ask_that_is_said(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    with shelf.client() as client:
        assert "A phone cannot follow the code yet" in words(client.get("/labels"))
        assert "A phone cannot follow the code yet" in words(client.get("/jars/comfrey-1/label"))


def test_with_nothing_to_label_packing_comes_first(shelf: Shelf) -> None:
    with shelf.client() as client:
        assert 'href="/jars/pack"' in client.get("/labels").text


def test_markup_in_a_plant_stays_text_on_labels(shelf: Shelf) -> None:
    jar = shelf.pack("<script>alert(1)</script>")
    with shelf.client() as client:
        pages = [
            client.get("/labels").text,
            client.get(f"/jars/{jar.id}/label").text,
            client.get("/labels/sheet", params={"name": jar.id, "paper": "a4"}).text,
        ]

    assert all("<script>alert" not in page for page in pages)
    assert all("alert(1)" in page for page in pages)
