"""What the grower set and reset of plants' needs, in the notebook."""

import sqlite3
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

from pydantic import Field, TypeAdapter

from station.domain.needs import EVERY, NeedEntry, NeedReset, NeedSet, check_need, plant_key
from station.store.records import Noun
from station.store.times import after_all
from station.store.tokens import made_by, spend

if TYPE_CHECKING:
    from station.store.notebook import Notebook

NEEDS: Noun[NeedEntry] = Noun(
    "need",
    TypeAdapter(Annotated[NeedEntry, Field(discriminator="kind")]),
    lambda entry: entry.name,
    "jarside need list",
    "Plants",
)


class HandSetNeeds:
    """The needs that the grower sets by hand; `Notebook.needs` tells them together with the judged jars."""

    def __init__(self, notebook: "Notebook") -> None:
        self._notebook = notebook

    def set_to(self, plant: str, warm_days: float, *, now_at: datetime, token: str = "") -> None:
        """Set a plant's need; only its jars judged from now on move it.

        Args:
            plant: the plant.
            warm_days: within `NEED_BOUNDS`.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            JarsideError: out of bounds.
        """
        self._keep(NeedSet(plant_key(plant), now_at, warm_days), now_at, token)

    def reset(self, plant: str = EVERY, *, now_at: datetime, token: str = "") -> None:
        """Forget what was learned or set up to now, of one plant or of every plant; the jars' records stay."""
        self._keep(NeedReset(plant_key(plant), now_at), now_at, token)

    def _keep(self, entry: NeedEntry, now_at: datetime, token: str) -> None:
        check_need(entry)
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                NEEDS.keep(connection, replace(entry, at=_after(connection, now_at)), now_at)
                spend(connection, token, entry.name)


def need_entries(connection: sqlite3.Connection) -> tuple[NeedEntry, ...]:
    """Return everything that was set and reset, in order of recording within each plant."""
    return tuple(entry for entries in NEEDS.every(connection) for entry in entries)


def _after(connection: sqlite3.Connection, at: datetime) -> datetime:
    """Return `at`, behind every earlier entry of the same second: a reset of all concerns each plant."""
    return after_all(at, (entry.at for entry in need_entries(connection)))
