"""Entries of the notebook: what all have in common, and the order in which those about one thing tell its story."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Protocol, TypeVar


class AnEntry(Protocol):
    """Any line of the notebook."""

    @property
    def at(self) -> datetime:
        """When it happened."""
        ...

    @property
    def kind(self) -> str:
        """What happened."""
        ...


E = TypeVar("E", bound=AnEntry)


def in_order(entries: Iterable[E], ranks: Mapping[str, int]) -> list[E]:
    """Return entries as they tell a story: its beginning first, whatever its time, then the others by their times.

    The order in which they were written down does not matter: of two at one time the rank decides, and of two of one
    rank their text.

    Args:
        entries: what was recorded of one thing.
        ranks: of each kind, 0 for the one that a story begins with.
    """
    return sorted(entries, key=lambda one: (ranks[one.kind] > 0, one.at, ranks[one.kind], repr(one)))
