"""What the station's own log says of its ways: a line when one goes into trouble, and one when it works again."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from station.domain.way import Way, WayState

if TYPE_CHECKING:
    from station.daemon import JudgedMinute


class WayLog:
    """Called after each kept minute: says what has changed with the ways, each trouble once until the way works again.

    Args:
        say: writes one line.
    """

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self._troubles: dict[str, set[str]] = {}
        """What was said of each way since it last worked."""
        self._asides: dict[str, str] = {}
        """What was last said of a way that works, and yet has something to be put right."""

    def __call__(self, judged: "JudgedMinute") -> None:
        """Say what is new."""
        for way in judged.minute.ways:
            match way.state:
                case WayState.TROUBLE:
                    self._troubled(way)
                case WayState.WORKING:
                    self._working(way)

    def _troubled(self, way: Way) -> None:
        said = self._troubles.setdefault(way.name, set())
        if way.line not in said:
            said.add(way.line)
            self._say(_told(way))

    def _working(self, way: Way) -> None:
        if self._troubles.pop(way.name, None):
            self._say(f"{way.name} works again: {way.line}")
        aside = _told(way) if way.remedy else ""
        if aside and aside != self._asides.get(way.name):
            self._say(aside)
        self._asides[way.name] = aside


def _told(way: Way) -> str:
    return f"{way.name}: {way.line} {way.remedy}".rstrip()
