"""Filling in the pages' forms, as a browser does."""

import re
from pathlib import Path

from fastapi.testclient import TestClient
from httpx2 import Response

from station.store.bottles import Bottles
from station.store.notebook import Notebook
from tests.dashboard.reading import Words

MARK = re.compile(r'name="mark" value="([^"]+)"')


def mark_of(page: str) -> str:
    """Return the mark of the first form of a page."""
    found = MARK.search(page)
    assert found is not None, page
    return found[1]


def send(client: TestClient, path: str, action: str = "", **fields: str) -> Response:
    """Open a page and send its form, to `action` if it goes elsewhere; do not follow where it leads."""
    mark = mark_of(client.get(path).text)
    return client.post(action or path, data={"mark": mark, **fields}, follow_redirects=False)


def words(answer: Response) -> str:
    """Return what a person reads."""
    return Words(answer.text).text


def left_ml(folder: Path, bottle: str) -> float:
    """Return what the notebook says is left in a bottle."""
    with Notebook.open(folder / "notebook.db") as notebook:
        return Bottles(notebook).bottle(bottle).left_ml
