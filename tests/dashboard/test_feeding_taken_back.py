"""A feeding typed wrong is taken back beside it, and its juice is in its bottle again."""

from pathlib import Path

import pytest

from tests.dashboard.forming import left_ml, mark_of, send, words
from tests.dashboard.pantry import a_pantry
from tests.dashboard.world import Shelf

BACK = "/feeding/feed-4/take-back"


@pytest.fixture
def pantry(tmp_path: Path) -> Shelf:
    return a_pantry(tmp_path)


def test_it_is_gone_from_the_page_and_its_juice_is_back(pantry: Shelf) -> None:
    before = left_ml(pantry.folder, "comfrey-1-b")
    with pantry.client() as client:
        send(client, "/feeding/give", method="drench", bottle="comfrey-1-b", water="10 L", place="dahlias")
        page = client.get("/feeding")
        assert f'formaction="{BACK}"' in page.text
        form = {"mark": mark_of(page.text)}
        for _ in range(2):
            answer = client.post(BACK, data=form, follow_redirects=False)
            assert (answer.status_code, answer.headers["location"]) == (303, "/feeding")
        assert "dahlias" not in words(client.get("/feeding"))
        assert "Feeding feed-4 taken back" in words(client.get("/bottles/comfrey-1-b"))
    assert left_ml(pantry.folder, "comfrey-1-b") == before


def test_what_went_already_or_was_never_there_is_said(pantry: Shelf) -> None:
    with pantry.client() as client:
        send(client, "/feeding", action="/feeding/feed-1/take-back")
        again = send(client, "/feeding", action="/feeding/feed-1/take-back")
        unknown = send(client, "/feeding", action="/feeding/feed-9/take-back")
    assert "feed-1 was taken back" in words(again).lower()
    assert "there is no feeding feed-9" in words(unknown).lower()
