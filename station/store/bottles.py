"""Bottles in the notebook: filled, drawn from, moved and emptied, each within one write transaction."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.bottling import (
    Bottle,
    BottleEntry,
    Drawn,
    Filled,
    bottle_from,
    check_bottle_entry,
    check_filled,
)
from station.domain.collecting import check_juice
from station.domain.jars import Bottled
from station.domain.storage import Storage
from station.errors import NotebookError
from station.store.ids import slug
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.tokens import made_by, spend

BOTTLES: Noun[BottleEntry] = Noun(
    "bottle",
    TypeAdapter(Annotated[BottleEntry, Field(discriminator="kind")]),
    lambda entry: entry.bottle_id,
    "jarside bottle list --all",
    "Bottles",
)


@dataclass(frozen=True, slots=True)
class Fill:
    """One bottle to be filled: with how much, and what it holds to the brim (None if not known), mL."""

    volume_ml: float
    bottle_ml: float | None = None


class Bottles:
    """The bottles of the notebook."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def bottle_jar(
        self,
        jar: str,
        fills: Sequence[Fill],
        at: datetime,
        *,
        now_at: datetime,
        juice_ml: float | None = None,
        storage: Storage = Storage.COOL,
        note: str = "",
        anyway: bool = False,
        token: str = "",
    ) -> tuple[Bottle, ...]:
        """Record that a strained jar's juice was collected, and filled into bottles.

        Args:
            jar: the jar's id or an unambiguous beginning of it.
            fills: the bottles; may be empty.
            at: when, aware.
            now_at: the present, aware.
            juice_ml: juice collected, mL; None for the sum of the bottles.
            storage: where they are kept.
            note: free text.
            anyway: whether it may be more than the jar holds.
            token: unique for one form; a second call with it changes nothing.

        Returns:
            The bottles filled, named after the jar: comfrey-1-a, comfrey-1-b.

        Raises:
            NotebookError: the jar is unknown or not strained, or an amount cannot be. Nothing was written then.
        """
        found = self._notebook.jar(jar)
        with self._notebook.writing() as connection:
            if (made := made_by(connection, token)) is not None:
                return _named(connection, made)
            if not anyway:
                check_juice(found, max(juice_ml or 0.0, sum(fill.volume_ml for fill in fills)))
            total_ml = juice_ml if juice_ml is not None else sum(fill.volume_ml for fill in fills) or None
            self._notebook.keep(Bottled(found.id, at, total_ml), now_at)
            bottles = _filled(
                connection, fills, Filled("", at, found.id, found.plant, 0.0, None, storage, note), now_at
            )
            spend(connection, token, " ".join(bottle.id for bottle in bottles))
            return bottles

    def fill(self, fills: Sequence[Fill], model: Filled, *, now_at: datetime, token: str = "") -> tuple[Bottle, ...]:
        """Record bottles that come from no jar of this shelf, or from one that was collected before.

        Args:
            fills: the bottles.
            model: what they have in common; its bottle_id and volumes are not used.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: an amount or time cannot be. Nothing was written then.
        """
        with self._notebook.writing() as connection:
            if (made := made_by(connection, token)) is not None:
                return _named(connection, made)
            bottles = _filled(connection, fills, model, now_at)
            spend(connection, token, " ".join(bottle.id for bottle in bottles))
            return bottles

    def record(self, entry: BottleEntry, *, now_at: datetime, anyway: bool = False, token: str = "") -> Bottle:
        """Write an entry about a bottle and return the bottle after it.

        Args:
            entry: what happened; not a filling.
            now_at: the present, aware.
            anyway: whether more may be drawn than is left.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: the bottle is unknown, or the entry does not fit it.
        """
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                drawn_from(connection, entry, now_at, anyway=anyway)
                spend(connection, token, entry.bottle_id)
            return bottle_from(BOTTLES.entries(connection, entry.bottle_id))

    def bottle(self, name: str) -> Bottle:
        """Return a bottle by its id or an unambiguous beginning of it.

        Raises:
            NotebookError: there is none, or more than one.
        """
        with self._notebook.reading() as connection:
            return bottle_from(BOTTLES.entries(connection, BOTTLES.chosen(connection, name)))

    def bottles(self) -> tuple[Bottle, ...]:
        """Return every bottle, in order of recording."""
        return tuple(bottle_from(entries) for entries in self.told())

    def told(self) -> tuple[tuple[BottleEntry, ...], ...]:
        """Return the entries of every bottle, in order of recording."""
        with self._notebook.reading() as connection:
            return BOTTLES.every(connection)


def drawn_from(connection: sqlite3.Connection, entry: BottleEntry, now_at: datetime, *, anyway: bool = False) -> None:
    """Write an entry about a bottle inside a write transaction, after looking at the bottle as it is now.

    Raises:
        NotebookError: the bottle is unknown, or the entry does not fit it.
    """
    if isinstance(entry, Filled):
        raise NotebookError(
            f"bottle {entry.bottle_id} was filled already",
            "Record a new bottle: jarside bottle fill.",
            "Record a new bottle, under Bottles.",
        )
    if isinstance(entry, Drawn) and not 0.0 < entry.volume_ml < 1e9:
        raise NotebookError(f"{entry.volume_ml:g} mL from bottle {entry.bottle_id}", "Give an amount above 0.")
    check_bottle_entry(bottle_from(BOTTLES.entries(connection, entry.bottle_id)), entry, anyway=anyway)
    BOTTLES.keep(connection, entry, now_at)


def _filled(
    connection: sqlite3.Connection, fills: Sequence[Fill], model: Filled, now_at: datetime
) -> tuple[Bottle, ...]:
    return tuple(_one_filled(connection, fill, model, now_at) for fill in fills)


def _one_filled(connection: sqlite3.Connection, fill: Fill, model: Filled, now_at: datetime) -> Bottle:
    name = _free_letter(connection, model.jar_id or slug(model.plant, "bottle"))
    entry = check_filled(
        Filled(
            name,
            model.at,
            model.jar_id,
            model.plant,
            fill.volume_ml,
            fill.bottle_ml,
            model.storage,
            model.note,
        )
    )
    BOTTLES.keep(connection, entry, now_at)
    return bottle_from((entry,))


def _free_letter(connection: sqlite3.Connection, stem: str) -> str:
    """Return stem-a, stem-b ... stem-z, stem-aa: the first that is free."""
    taken = set(BOTTLES.names(connection))
    number = 0
    while (name := f"{stem}-{_letters(number)}") in taken:
        number += 1
    return name


def _letters(number: int) -> str:
    rest, last = divmod(number, 26)
    return (_letters(rest - 1) if rest else "") + chr(ord("a") + last)


def _named(connection: sqlite3.Connection, made: str) -> tuple[Bottle, ...]:
    return tuple(bottle_from(BOTTLES.entries(connection, name)) for name in made.split())
