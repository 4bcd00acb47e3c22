"""When the station was moved: what the sun did before no longer counts."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, TypeAlias

SHELF = "shelf"
"""The one name under which moves are kept."""


@dataclass(frozen=True, slots=True)
class ShelfMoved:
    """The station was put where it stands, or turned."""

    name: str
    at: datetime
    kind: Literal["moved"] = "moved"


@dataclass(frozen=True, slots=True)
class MoveTakenBack:
    """It was not moved at `move_at` after all."""

    name: str
    at: datetime
    move_at: datetime
    kind: Literal["taken back"] = "taken back"


MoveEntry: TypeAlias = ShelfMoved | MoveTakenBack
"""One line of the notebook about where the station stands."""


def moved_at(entries: Iterable[MoveEntry]) -> datetime | None:
    """Return when the station was last moved, or None; the order of the entries does not matter."""
    told = tuple(entries)
    taken_back = {one.move_at for one in told if isinstance(one, MoveTakenBack)}
    return max((one.at for one in told if isinstance(one, ShelfMoved) and one.at not in taken_back), default=None)
