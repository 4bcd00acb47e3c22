"""What the grower set and reset of plants' needs, in the notebook."""

import sqlite3
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

from pydantic import Field, TypeAdapter

from station.domain.needs import (
    EVERY,
    NeedEntry,
    NeedReset,
    NeedSet,
    ResetTakenBack,
    check_need,
    needs_of,
    plant_key,
)
from station.errors import NotebookError
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

    def take_back_reset(self, plant: str = EVERY, *, now_at: datetime) -> datetime:
        """Let the latest reset of one plant, or of every plant, count no more, and return when it was.

        Raises:
            NotebookError: there is none of that name; a plant reset with all others is not taken back by itself.
        """
        with self._notebook.writing() as connection:
            reset_at = needs_of((), need_entries(connection)).last_reset(plant)
            if reset_at is None:
                raise _never_reset(plant)
            taken_back = ResetTakenBack(plant_key(plant), _after(connection, now_at), reset_at)
            NEEDS.keep(connection, taken_back, now_at)
        return reset_at

    def _keep(self, entry: NeedEntry, now_at: datetime, token: str) -> None:
        check_need(entry)
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                NEEDS.keep(connection, replace(entry, at=_after(connection, now_at)), now_at)
                spend(connection, token, entry.name)


def _never_reset(plant: str) -> NotebookError:
    if plant == EVERY:
        return NotebookError(
            "there is no reset of every plant",
            "Name the plant: jarside need reset PLANT --take-back.",
            "Name the plant.",
        )
    return NotebookError(
        f"there is no reset of {plant} alone",
        "A reset of every plant goes back with: jarside need reset --take-back.",
        "Take back the reset of every plant.",
    )


def need_entries(connection: sqlite3.Connection) -> tuple[NeedEntry, ...]:
    """Return everything that was set, reset and taken back, in order of recording within each plant."""
    return tuple(entry for entries in NEEDS.every(connection) for entry in entries)


def _after(connection: sqlite3.Connection, at: datetime) -> datetime:
    """Return `at`, behind every earlier entry of the same second: a reset of all concerns each plant."""
    return after_all(at, (entry.at for entry in need_entries(connection)))
