"""What is drawn once and shown again, and when it is drawn anew."""

import time

from dashboard.books import Mark
from dashboard.kept import Kept


class Drawer:
    """Files that change, and a pen that counts."""

    def __init__(self) -> None:
        self.files: Mark = ((1, 100, 0),)
        self.drawn: list[str] = []

    def draw(self, what: str) -> str:
        self.drawn.append(what)
        return f"{what} {len(self.drawn)}"


def test_a_part_is_drawn_once_until_a_file_changes() -> None:
    pen = Drawer()
    kept = Kept(lambda: pen.files)

    assert [kept.get("week", lambda: pen.draw("week")) for _ in range(3)] == ["week 1"] * 3
    pen.files = ((1, 101, 1),)
    assert kept.get("week", lambda: pen.draw("week")) == "week 2"


def test_what_was_asked_differently_is_another_part() -> None:
    pen = Drawer()
    kept = Kept(lambda: pen.files)

    kept.get("week", lambda: pen.draw("week"))
    assert kept.get("day", lambda: pen.draw("day")) == "day 2"


def test_a_file_that_changed_just_now_may_change_again_unseen() -> None:
    pen = Drawer()
    pen.files = ((1, 100, time.time_ns()),)
    kept = Kept(lambda: pen.files)

    for _ in range(2):
        kept.get("week", lambda: pen.draw("week"))
    assert pen.drawn == ["week", "week"]


def test_only_the_latest_are_remembered() -> None:
    pen = Drawer()
    kept = Kept(lambda: pen.files, most=2)

    for name in ("a", "b", "a", "c", "a", "b"):
        kept.get(name, lambda name=name: pen.draw(name))  # type: ignore[misc]
    assert pen.drawn == ["a", "b", "c", "b"]
