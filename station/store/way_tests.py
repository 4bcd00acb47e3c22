"""Tests of the ways out that arrived, in the notebook: the station did not send them, and so cannot know of them."""

from collections.abc import Iterable
from datetime import datetime

from station.domain.readings import aware
from station.domain.way import Arrived, Way, WayState
from station.store.notebook import Notebook
from station.store.times import at_us, us_of

_PUT = "INSERT INTO way_tests (way, at_us) VALUES (?, ?) ON CONFLICT (way) DO UPDATE SET at_us = excluded.at_us"


def keep_arrivals(notebook: Notebook, tested: Iterable[Way], at: datetime) -> None:
    """Keep that a test arrived on those of the ways that took it; the one before is forgotten.

    Args:
        notebook: the notebook.
        tested: what became of the test on each way.
        at: when, aware.
    """
    taken = [(way.name, us_of(aware(at))) for way in tested if way.state is WayState.WORKING]
    if taken:
        with notebook.writing() as connection:
            connection.executemany(_PUT, taken)


def arrivals(notebook: Notebook) -> tuple[Arrived, ...]:
    """Return the latest test that arrived on each way."""
    with notebook.reading() as connection:
        rows = connection.execute("SELECT way, at_us FROM way_tests").fetchall()
    return tuple(Arrived(way, at_us(when_us)) for way, when_us in rows)
