"""The corrections of sensors in the notebook: made, listed and removed; nothing is forgotten."""

from collections.abc import Callable
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.correction_log import CorrectionEntry, CorrectionMade, CorrectionRemoved, Held, held_from
from station.domain.corrections import Correction
from station.errors import NotebookError
from station.store.notebook import Notebook
from station.store.records import Noun

CORRECTIONS: Noun[CorrectionEntry] = Noun(
    "correction",
    TypeAdapter(Annotated[CorrectionEntry, Field(discriminator="kind")]),
    lambda entry: entry.name,
    "jarside calibrate list",
    "Set-up",
)


class Corrections:
    """The corrections in the notebook; at most one holds for each quantity of a sensor."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def make(self, correction: Correction, *, now_at: datetime) -> str:
        """Keep a correction and return its id, such as `shelf-air-humidity`; the one before stops holding.

        Raises:
            NotebookError: it was made in the future.
        """
        name = f"{correction.sensor}-{correction.quantity}"
        with self._notebook.writing() as connection:
            CORRECTIONS.keep(connection, CorrectionMade(name, now_at, correction), now_at)
        return name

    def remove(self, name: str, *, now_at: datetime) -> Correction:
        """Let a correction stop holding, and return it.

        Args:
            name: its id, or an unambiguous beginning of it.
            now_at: the present, aware.

        Raises:
            NotebookError: none of this name holds.
        """
        with self._notebook.writing() as connection:
            wanted = CORRECTIONS.chosen(connection, name)
            last = held_from(CORRECTIONS.entries(connection, wanted))[-1]
            if last.until_at is not None:
                raise NotebookError(
                    f"correction {wanted} does not hold",
                    "See those that do: jarside calibrate list.",
                    "See those that do: Set-up.",
                )
            CORRECTIONS.keep(connection, CorrectionRemoved(wanted, now_at), now_at)
            return last.correction

    def holding(self) -> tuple[Correction, ...]:
        """Return the corrections that hold now."""
        return tuple(held.correction for held in self.history() if held.until_at is None)

    def history(self) -> tuple[Held, ...]:
        """Return every correction there ever was, with when it held, sensor by sensor and oldest first."""
        with self._notebook.reading() as connection:
            return tuple(held for entries in CORRECTIONS.every(connection) for held in held_from(entries))

    def following(self) -> Callable[[], tuple[Correction, ...]]:
        """Return a function that gives the corrections that hold, read again only after another program has written."""
        held: tuple[Correction, ...] = ()
        version: int | None = None

        def now() -> tuple[Correction, ...]:
            nonlocal held, version
            latest = self._notebook.version()
            if latest != version:
                held, version = self.holding(), latest
            return held

        return now
