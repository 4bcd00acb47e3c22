"""A test of the ways to people and programs: sent, and what arrived written down."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from dashboard.desk import Desk
from station.domain.way import Way
from station.store.way_tests import keep_arrivals


@dataclass(frozen=True, slots=True)
class Tested:
    """What came of a test."""

    at: datetime
    ways: tuple[Way, ...]


def tested(desk: Desk, send: Callable[[], tuple[Way, ...]]) -> Tested:
    """Send a test on every way.

    Args:
        desk: in whose notebook is kept what arrived.
        send: does it, and says how each way is doing after it.

    Raises:
        StoreError: the notebook cannot be written.
    """
    found = Tested(desk.now(), send())
    with desk.books.writing() as notebook:
        keep_arrivals(notebook, found.ways, found.at)
    return found
