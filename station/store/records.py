"""What the notebook keeps beside jars: one line an entry, whatever it is about."""

import sqlite3
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Generic, TypeVar

from pydantic import TypeAdapter

from station.domain.entries import AnEntry
from station.domain.readings import aware
from station.errors import NotebookError
from station.store.ids import chosen, numbered, unknown
from station.store.times import CLOCK_SLACK, us_of

E = TypeVar("E", bound=AnEntry)


@dataclass(frozen=True, slots=True)
class Noun(Generic[E]):
    """A kind of thing that is recorded, and how its entries are kept.

    Args:
        name: what it is called.
        adapter: turns its entries into JSON and back.
        id_of: the id that an entry is about.
        listing: the command that lists them.
        page: the page that does.
    """

    name: str
    adapter: TypeAdapter[E]
    id_of: Callable[[E], str]
    listing: str
    page: str

    def entries(self, connection: sqlite3.Connection, name: str) -> tuple[E, ...]:
        """Return what was recorded of one of them, in order of recording.

        Raises:
            NotebookError: nothing was.
        """
        sql = "SELECT body FROM records WHERE noun = ? AND name = ? ORDER BY id"
        rows = connection.execute(sql, (self.name, name)).fetchall()
        if not rows:
            raise unknown(name, self.name, self.listing, self.page)
        return tuple(self.adapter.validate_json(body) for (body,) in rows)

    def every(self, connection: sqlite3.Connection) -> tuple[tuple[E, ...], ...]:
        """Return the entries of each of them, in order of the first recording."""
        sql = "SELECT name, body FROM records WHERE noun = ? ORDER BY id"
        found: dict[str, list[E]] = defaultdict(list)
        for name, body in connection.execute(sql, (self.name,)).fetchall():
            found[name].append(self.adapter.validate_json(body))
        return tuple(tuple(entries) for entries in found.values())

    def names(self, connection: sqlite3.Connection) -> tuple[str, ...]:
        """Return all ids, in alphabetical order."""
        sql = "SELECT DISTINCT name FROM records WHERE noun = ? ORDER BY name"
        return tuple(str(name) for (name,) in connection.execute(sql, (self.name,)).fetchall())

    def chosen(self, connection: sqlite3.Connection, name: str) -> str:
        """Return the id that is `name` or, unambiguously, begins with it.

        Raises:
            NotebookError: none does, or more than one.
        """
        return chosen(name.strip().lower(), self.names(connection), self.name, self.listing, self.page)

    def keep(self, connection: sqlite3.Connection, entry: E, now_at: datetime) -> None:
        """Write an entry, inside a write transaction.

        Raises:
            NotebookError: it lies in the future.
        """
        name = self.id_of(entry)
        check_not_ahead(self.name, name, entry, now_at)
        body = self.adapter.dump_json(_in_utc(entry)).decode()
        row = (self.name, name, us_of(entry.at), entry.kind, us_of(now_at), body)
        sql = "INSERT INTO records (noun, name, at_us, kind, recorded_us, body) VALUES (?, ?, ?, ?, ?, ?)"
        connection.execute(sql, row)

    def numbered(self, connection: sqlite3.Connection, stem: str) -> str:
        """Return the next free id of the form stem-number, inside a write transaction."""
        return numbered(connection, stem, self.names(connection), f"{self.name}:{stem}")


def check_not_ahead(noun: str, name: str, entry: AnEntry, now_at: datetime) -> None:
    """Refuse an entry about a thing of that noun and name that lies in the future.

    Raises:
        NotebookError: it does.
        JarsideError: one of the two times is naive.
    """
    if aware(entry.at) > aware(now_at) + CLOCK_SLACK:
        raise NotebookError((f"{noun} {name} cannot be {entry.kind} in the future, at ", entry.at), "Check the time.")


def _in_utc(entry: E) -> E:
    """Return an entry with its time in UTC, so that what is read back does not depend on where it was typed."""
    return replace(entry, at=entry.at.astimezone(UTC))  # type: ignore[type-var]
