"""Tests of the ways out that arrived are kept in the notebook, the latest of each way."""

from datetime import timedelta
from pathlib import Path

from station.domain.way import Arrived, Way, WayState
from station.store.notebook import Notebook
from station.store.way_tests import arrivals, keep_arrivals
from tests.builders import START

PHONE, BROKER = Way("phone", WayState.WORKING, "phone took it."), Way("broker", WayState.WORKING, "broker took it.")
LATER = START + timedelta(hours=1)


def test_of_each_way_the_latest_test_that_arrived_is_known(tmp_path: Path) -> None:
    path = tmp_path / "notebook.db"
    with Notebook.open(path) as notebook:
        assert arrivals(notebook) == ()
        keep_arrivals(notebook, (BROKER, PHONE), START)
        keep_arrivals(notebook, (Way("broker", WayState.TROUBLE, "It is off."), PHONE), LATER)
    with Notebook.open(path) as notebook:
        assert set(arrivals(notebook)) == {Arrived("broker", START), Arrived("phone", LATER)}


def test_where_nothing_arrived_nothing_is_written(tmp_path: Path) -> None:
    with Notebook.open(tmp_path / "notebook.db") as notebook, Notebook.open(tmp_path / "notebook.db") as watched:
        before = watched.version()
        keep_arrivals(notebook, (Way("phone", WayState.TROUBLE, "It is off."),), START)
        assert watched.version() == before
        keep_arrivals(notebook, (PHONE,), START)
        assert watched.version() != before
