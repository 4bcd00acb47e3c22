"""What takes long is done once for each mark, one at a time, and only a few wait for it."""

from concurrent.futures import ThreadPoolExecutor
from queue import Queue
from threading import Event

import pytest

from dashboard.latest import Latest
from dashboard.turns import MOST_AT_ONCE, BusyError


def test_the_same_mark_finds_what_was_made_and_what_failed_is_made_again() -> None:
    latest, made = Latest[int](), iter((1, 2, 3))

    def fail() -> int:
        raise OSError

    with pytest.raises(OSError, match=r"^$"):
        latest.of("one", fail)
    assert [latest.of(mark, lambda: next(made)) for mark in ("one", "one", "", "")] == [1, 1, 2, 3]
    assert latest.made == 3


def test_the_same_mark_at_once_makes_one_and_too_many_are_sent_away() -> None:
    latest, go, answers = Latest[int](), Event(), Queue[int | None]()
    made: list[int] = []

    def make() -> int:
        made.append(1)
        assert go.wait(60)
        return 7

    def ask() -> None:
        try:
            answers.put(latest.of("one", make))
        except BusyError:
            answers.put(None)

    with ThreadPoolExecutor(MOST_AT_ONCE + 2) as many:
        for _ in range(MOST_AT_ONCE + 2):
            many.submit(ask)
        try:
            early = [answers.get(timeout=30), answers.get(timeout=30)]
        finally:
            go.set()
        late = [answers.get(timeout=60) for _ in range(MOST_AT_ONCE)]
    assert (early, late) == ([None, None], [7] * MOST_AT_ONCE)
    assert made == [1]
    assert latest.of("two", lambda: 8) == 8, "there is room again"
