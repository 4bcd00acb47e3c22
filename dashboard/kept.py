"""Parts of pages that are dear to draw, remembered until a file changes."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import TypeVar

from dashboard.books import Mark, settled

Part = TypeVar("Part")


class Kept:
    """What was drawn last, by what was asked for. May be used from several threads.

    Args:
        mark: changes whenever one of the files does that the parts are drawn from.
        most: so many parts are remembered, the latest asked for.
    """

    def __init__(self, mark: Callable[[], Mark], most: int = 16) -> None:
        self._mark = mark
        self._most = most
        self._seen: Mark | None = None
        self._parts: OrderedDict[Hashable, object] = OrderedDict()
        self._lock = Lock()

    def get(self, asked: Hashable, draw: Callable[[], Part]) -> Part:
        """Return the part that answers `asked`, drawn anew only if a file has changed since it was drawn."""
        mark = self._mark()
        with self._lock:
            if mark == self._seen and asked in self._parts:
                self._parts.move_to_end(asked)
                return self._parts[asked]  # type: ignore[return-value] # `asked` tells what kind it is
        part = draw()
        if settled(mark):
            self._keep(mark, asked, part)
        return part

    def _keep(self, mark: Mark, asked: Hashable, part: object) -> None:
        with self._lock:
            if mark != self._seen:
                self._parts.clear()
                self._seen = mark
            self._parts[asked] = part
            while len(self._parts) > self._most:
                self._parts.popitem(last=False)
