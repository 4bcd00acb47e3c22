"""The moves of the station in the notebook."""

from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.shelf_moves import SHELF, MoveEntry, MoveTakenBack, ShelfMoved, moved_at
from station.errors import NotebookError
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.tokens import made_by, spend

MOVES: Noun[MoveEntry] = Noun(
    "shelf",
    TypeAdapter(Annotated[MoveEntry, Field(discriminator="kind")]),
    lambda entry: entry.name,
    "jarside shelf sun",
    "Set-up",
)


class ShelfMoves:
    """When the station was moved."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def move(self, at: datetime, *, now_at: datetime, token: str = "") -> None:
        """Record that the station was moved.

        Args:
            at: when, aware.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: in the future.
        """
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                MOVES.keep(connection, ShelfMoved(SHELF, at), now_at)
                spend(connection, token, SHELF)

    def take_back(self, *, now_at: datetime) -> datetime:
        """Record that the latest move was none, and return when it would have been.

        Raises:
            NotebookError: none was recorded.
        """
        last_at = self.last_at()
        if last_at is None:
            raise NotebookError(
                "the shelf was never moved", "Record a move: jarside shelf moved.", "Record a move, under Set-up."
            )
        with self._notebook.writing() as connection:
            MOVES.keep(connection, MoveTakenBack(SHELF, now_at, last_at), now_at)
        return last_at

    def last_at(self) -> datetime | None:
        """Return when the station was last moved, or None."""
        with self._notebook.reading() as connection:
            return moved_at(entry for entries in MOVES.every(connection) for entry in entries)
