"""A test of the ways to people and programs: sent, and what arrived written down."""

from collections.abc import Callable

from dashboard.desk import Desk
from station.domain.way import Way
from station.store.way_tests import keep_arrivals


def tested(desk: Desk, token: str, send: Callable[[], tuple[Way, ...]]) -> tuple[Way, ...]:
    """Send a test on every way, once for each token, and return how each is doing after it.

    Args:
        desk: in whose notebook is kept what arrived.
        token: unique for one form or one asking; with "" it is always sent.
        send: does it.

    Raises:
        StoreError: the notebook cannot be written.
    """
    return desk.tests.of(token, lambda: _sent(desk, send))


def _sent(desk: Desk, send: Callable[[], tuple[Way, ...]]) -> tuple[Way, ...]:
    at, ways = desk.now(), send()
    with desk.books.writing() as notebook:
        keep_arrivals(notebook, ways, at)
    return ways
