"""How long the climate page takes, beside the same questions put to SQLite and nothing else."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

import pytest

from dashboard.pages.climate import MOST_ALERTS
from dashboard.views.spans import Span, Window, window
from station.store.finished import FRONTIER
from station.store.shelf_reader import ShelfReader
from tests.bench.growing import Growing
from tests.bench.kitchens import SETTINGS
from tests.bench.report import Goal, Line
from tests.bench.timing import interleaved

GOAL = Goal("at most", 1.5, "ratio")
NO_SLOWER = Goal("at most", 1.05, "ratio")
"""Two medians of the same thing differ by some hundredths."""
WARM_UP = 5
UNHEARD_OF_C = 60.0
"""A temperature that the kitchen never has: a page that is drawn anew tells of it."""

Question = tuple[str, tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class Side:
    """One log: its folder, and how to connect to its dashboard, which closes what lies idle."""

    folder: Path
    connected: Callable[[], Callable[[str], bytes]]

    @property
    def path(self) -> Path:
        """The shelf log."""
        return self.folder / "shelf.db"


def lines(week: Side, long: Side, name: str, growing: Growing, rounds: int) -> Iterator[Line]:
    """Yield the figures of every span.

    Args:
        week, long: a log of a week and one of years.
        name: what the long one is called.
        growing: the present of the long one.
        rounds: how often each page is asked.
    """
    for number, span in enumerate(Span):
        found = _asked(week, long, span, growing, rounds)
        _check(long, span, growing, UNHEARD_OF_C + number)
        address = _address(span)
        yield Line(f"{address}, {name}", found.page_ms, "ms", found.bare_ms, GOAL, _NOTE)
        yield Line(f"{address}, {name}, drawn anew", found.drawn_ms, "ms", found.bare_ms, GOAL, _ANEW)
        yield Line(f"{address}, {name} beside a week", found.page_ms, "ms", found.near_ms, NO_SLOWER)


def _address(span: Span) -> str:
    return f"/climate?span={span}"


def _check(long: Side, span: Span, growing: Growing, temp_c: float) -> None:
    """Write a minute that nobody could overlook, and look for it."""
    growing.grow(temp_c=temp_c)
    page = long.connected()(_address(span))
    if f"to {temp_c:.1f}".encode() not in page.replace("\u00a0".encode(), b" "):
        raise RuntimeError(f"{_address(span)} does not show the newest minute")


_NOTE = (
    "floor: the very questions of this page, put to the same file by sqlite3 alone; through the server, uncompressed"
)
_ANEW = (
    "one more minute is written before each, and the present moves on by it; floor: all questions, as if none were kept"
)


@dataclass(frozen=True, slots=True)
class _Asked:
    """Medians: SQLite alone, the page of the long log, that of the week, and the first while files have changed."""

    bare_ms: float
    page_ms: float
    near_ms: float
    drawn_ms: float


def _asked(week: Side, long: Side, span: Span, growing: Growing, rounds: int) -> _Asked:
    address, far = _address(span), long.connected()
    asked: list[Question] = []

    def minute() -> None:
        """Let a minute pass, which is not counted."""
        growing.grow()
        asked[:] = questions(long.path, window(span, None, growing.now(), SETTINGS.zone))

    def anew() -> None:
        far(address)

    def alone() -> None:
        bare(long.path, asked)

    interleaved(WARM_UP, (minute, alone, anew))
    _, bare_s, drawn_s = interleaved(rounds, (minute, alone, anew))
    page_s, near_s = _settled(long.connected(), week.connected(), address, rounds)
    return _Asked(*(1000.0 * median(taken) for taken in (bare_s, page_s, near_s, drawn_s)))


def _settled(
    far: Callable[[str], object], near: Callable[[str], object], address: str, rounds: int
) -> list[list[float]]:
    """Ask both while their files rest."""
    pages = (lambda: far(address), lambda: near(address))
    interleaved(WARM_UP, pages)
    return interleaved(rounds, pages)


def bare(path: Path, found: list[Question]) -> None:
    """Put questions to a file, and fetch every answer."""
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as connection:
        for sql, values in found:
            connection.execute(sql, values).fetchall()


def questions(path: Path, shown: Window) -> list[Question]:
    """Return what a climate page asks of the shelf log, as it really asks when nothing is known yet."""
    found: list[Question] = []
    ask = ShelfReader._ask

    def noted(self: ShelfReader, sql: str, values: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
        if sql != FRONTIER:  # only for what is kept
            found.append((sql, values))
        return ask(self, sql, values)

    with pytest.MonkeyPatch.context() as patch, ShelfReader(path).together() as shelf:
        patch.setattr(ShelfReader, "_ask", noted)
        shelf.steps(shown.steps_since_at, shown.until_at, shown.span.step_s)
        shelf.summed(shown.edges(SETTINGS.zone))
        shelf.alerts_within(shown.since_at, shown.until_at, MOST_ALERTS)
    return found
