"""The notebook: what the grower recorded. Written at human speed by several programs, one at a time."""

import json
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Annotated, Self

from pydantic import Field, TypeAdapter

from station.domain.jar_checks import check_amounts, check_entry
from station.domain.jars import Corrected, Entry, Jar, Judged, Noted, Packed, jar_from
from station.domain.needs import Needs, needs_of
from station.domain.packing import PLAINLY, Packing
from station.domain.readings import aware
from station.errors import NotebookError
from station.ports import Answer
from station.store.connection import connect, plainly, writing
from station.store.ids import chosen, numbered, slug, unknown
from station.store.migrations import NOTEBOOK, identify, migrate
from station.store.needs import need_entries
from station.store.records import check_not_ahead
from station.store.times import after_all, at_us, us_of
from station.store.tokens import made_by, spend

STILL_SHOWN = timedelta(days=2)
"""A strained jar stays in the station's sight for this long."""
JARS: TypeAdapter[Entry] = TypeAdapter(Annotated[Entry, Field(discriminator="kind")])
"""Turns entries about jars into JSON and back."""


class Notebook:
    """The grower's records; satisfies `station.ports.NotebookView`."""

    def __init__(self, path: Path, connection: sqlite3.Connection, factory: type[sqlite3.Connection]) -> None:
        self._path = path
        self._connection = connection
        self._factory = factory
        self._file = _file_id(path)
        self._generation = 0

    @classmethod
    def open(cls, path: Path, *, factory: type[sqlite3.Connection] = sqlite3.Connection) -> Self:
        """Open the file, made or brought up to date as needed.

        Args:
            path: `notebook.db` in the data folder.
            factory: the kind of connection; tests hand in one that fails.

        Raises:
            StoreError: it cannot be opened, is not ours, or is newer than this program.
        """
        return cls(path, _opened(path, factory), factory)

    def close(self) -> None:
        """Close the file; may be called twice."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.close()

    def version(self) -> int:
        """A number that changes whenever another program has written, or put another file in its place."""
        if _file_id(self._path) != self._file:
            self._reopen()
        with plainly(self._path):
            (changes,) = self._connection.execute("PRAGMA data_version").fetchone()
        return (self._generation << 32) + int(changes)

    def _reopen(self) -> None:
        connection = _opened(self._path, self._factory)
        self._connection.close()
        self._connection, self._file = connection, _file_id(self._path)
        self._generation += 1

    def pack(
        self,
        plant: str,
        at: datetime,
        jar_ml: float,
        *,
        now_at: datetime,
        plant_g: float | None = None,
        sugar_g: float | None = None,
        probe: str = "",
        packing: Packing = PLAINLY,
        token: str = "",
    ) -> Jar:
        """Record the packing of a new jar and give it a readable id, such as `comfrey-3`.

        Args:
            plant: what is in it.
            at: when it was packed, aware.
            jar_ml: the jar's volume in mL, above 0.
            now_at: the present, aware.
            plant_g, sugar_g: weights in grams, above 0.
            probe: the name of the probe on it, or "".
            packing: how it was packed.
            token: unique for one form; a second call with it returns the first call's jar.

        Raises:
            NotebookError: a weight or volume is not above 0, or the time lies in the future.
        """
        with writing(self._connection, self._path):
            if (made := made_by(self._connection, token)) is not None:
                return self._jar(made)
            stem = slug(plant)
            jar_id = numbered(self._connection, stem, self._ids(), stem)
            packed = Packed(jar_id, at, plant.strip(), jar_ml, plant_g, sugar_g, probe, packing)
            self._keep(packed, now_at, token)
            return self._jar(jar_id)

    def record(self, entry: Entry, *, now_at: datetime, token: str = "") -> Jar:
        """Write an entry about a jar and return the jar after it.

        Args:
            entry: what happened; for a new jar use `pack`, which chooses the id.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: the jar is unknown, or its stage or the time does not allow the entry.
        """
        with writing(self._connection, self._path):
            if made_by(self._connection, token) is None:
                self._check(entry)
                self._keep(entry, now_at, token)
            return self._jar(entry.jar_id)

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Hold the write transaction, for what is kept in the same file beside the jars.

        Raises:
            StoreError: nothing was kept, or (after a failed commit) that is not known.
        """
        with writing(self._connection, self._path):
            yield self._connection

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Lend the connection for reading; errors of SQLite come out as StoreError."""
        with plainly(self._path):
            yield self._connection

    def keep(self, entry: Entry, now_at: datetime) -> Jar:
        """Write an entry inside a transaction that `writing` holds, with the same checks as `record`."""
        self._check(entry)
        self._keep(entry, now_at, "")
        return self._jar(entry.jar_id)

    def _check(self, entry: Entry) -> None:
        if not isinstance(entry, Packed):
            check_entry(self._jar(entry.jar_id), entry)
        elif self._entries(entry.jar_id):
            raise NotebookError(
                f"jar {entry.jar_id} was packed already",
                "Let jarside jar pack choose another id.",
                "Pack it again: it gets another id.",
            )

    def _keep(self, entry: Entry, now_at: datetime, token: str) -> None:
        check_amounts(entry)
        if isinstance(entry, Judged | Noted | Corrected):
            alike = (one.at for one in self._entries(entry.jar_id) if one.kind == entry.kind)
            entry = replace(entry, at=after_all(entry.at, alike))  # a note is taken back by its time: one of a kind
        check_not_ahead("jar", entry.jar_id, entry, now_at)
        body = JARS.dump_json(replace(entry, at=entry.at.astimezone(UTC))).decode()
        row = (entry.jar_id, us_of(entry.at), entry.kind, us_of(now_at), body)
        sql = "INSERT INTO entries (jar_id, at_us, kind, recorded_us, body) VALUES (?, ?, ?, ?, ?)"
        self._connection.execute(sql, row)
        spend(self._connection, token, entry.jar_id)

    def jars(self) -> tuple[Jar, ...]:
        """Every jar, the latest packed first."""
        with plainly(self._path):
            rows = self._connection.execute("SELECT jar_id, body FROM entries ORDER BY id").fetchall()
        entries: dict[str, list[Entry]] = defaultdict(list)
        for jar_id, body in rows:
            entries[jar_id].append(JARS.validate_json(body))
        return tuple(sorted(map(jar_from, entries.values()), key=lambda jar: (jar.packed_at, jar.id), reverse=True))

    def jars_on_shelf(self) -> tuple[Jar, ...]:
        """The jars that still work, and those that left the shelf within two days of the last record.

        The notebook has no clock: with nothing recorded since, a jar stays in sight longer than two days.
        """
        with plainly(self._path):
            (last_us,) = self._connection.execute("SELECT max(recorded_us) FROM entries").fetchone()
        if last_us is None:
            return ()
        since_at = at_us(last_us) - STILL_SHOWN
        return tuple(jar for jar in self.jars() if jar.off_shelf_at is None or jar.off_shelf_at >= since_at)

    def needs(self) -> Needs:
        """What the judged jars, and the grower by hand, say about the needs of plants."""
        with plainly(self._path):
            entries = need_entries(self._connection)
        return needs_of(self.jars(), entries)

    def jar(self, name: str) -> Jar:
        """Return a jar by its id or an unambiguous beginning of it.

        Raises:
            NotebookError: there is none, or more than one.
        """
        with plainly(self._path):
            return self._jar(chosen(name.strip().lower(), self._ids()))

    def ids(self, nouns: tuple[str, ...] = ("jar",)) -> tuple[str, ...]:
        """All ids of jars, and of what is recorded beside them, in alphabetical order.

        Args:
            nouns: of which kinds: `jar`, `bottle`, `feeding`, `round`, `trial`, `plant`.
        """
        sql = "SELECT DISTINCT 'jar', jar_id FROM entries UNION SELECT DISTINCT noun, name FROM records ORDER BY 2"
        with plainly(self._path):
            rows = self._connection.execute(sql).fetchall()
        return tuple(str(name) for noun, name in rows if noun in nouns)

    def entries(self, jar_id: str) -> tuple[Entry, ...]:
        """What was recorded of a jar, in order of recording; empty for an unknown id."""
        with plainly(self._path):
            return tuple(self._entries(jar_id))

    def answer(self, answer: Answer, *, token: str = "") -> None:
        """Write down what a person did about an alert.

        Args:
            answer: acknowledged, or put off until a time after its own.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: put off until a time that has passed.
        """
        if answer.until_at is not None and aware(answer.until_at) <= aware(answer.at):
            raise NotebookError(
                (f"alert {answer.alert_id} cannot be put off until ", answer.until_at, ": that time has passed"),
                "Give a later time.",
            )
        self._keep_answer(answer, token)

    def take_back(self, alert_id: str, at: datetime, *, token: str = "") -> None:
        """Write down that an alert is no longer acknowledged; for `token` see `answer`."""
        self._keep_answer(Answer(alert_id, at, at), token)

    def _keep_answer(self, answer: Answer, token: str) -> None:
        row = (answer.alert_id, us_of(aware(answer.at)), us_of(answer.until_at))
        with writing(self._connection, self._path):
            if made_by(self._connection, token) is None:
                self._connection.execute("INSERT INTO answers (alert_id, at_us, until_us) VALUES (?, ?, ?)", row)
                spend(self._connection, token, answer.alert_id)

    def answers(self, since_at: datetime) -> tuple[Answer, ...]:
        """What people did about alerts at or after `since_at`, in order of time."""
        return self._answers("at_us >= ? ORDER BY at_us, id", us_of(aware(since_at)))

    def answers_to(self, alert_ids: Iterable[str]) -> tuple[Answer, ...]:
        """What people did about these alerts, in the order in which they did it, whatever the clock said."""
        return self._answers("alert_id IN (SELECT value FROM json_each(?)) ORDER BY id", json.dumps(list(alert_ids)))

    def _answers(self, which: str, value: object) -> tuple[Answer, ...]:
        sql = f"SELECT alert_id, at_us, until_us FROM answers WHERE {which}"  # noqa: S608 - from the two above
        with plainly(self._path):
            rows = self._connection.execute(sql, (value,)).fetchall()
        return tuple(Answer(alert_id, at_us(us), at_us(until_us)) for alert_id, us, until_us in rows)

    def _jar(self, jar_id: str) -> Jar:
        entries = self._entries(jar_id)
        if not entries:
            raise unknown(jar_id)
        return jar_from(entries)

    def _ids(self) -> list[str]:
        rows = self._connection.execute("SELECT DISTINCT jar_id FROM entries ORDER BY jar_id").fetchall()
        return [str(jar_id) for (jar_id,) in rows]

    def _entries(self, jar_id: str) -> list[Entry]:
        rows = self._connection.execute("SELECT body FROM entries WHERE jar_id = ? ORDER BY id", (jar_id,)).fetchall()
        return [JARS.validate_json(body) for (body,) in rows]


def _file_id(path: Path) -> tuple[int, int]:
    try:
        found = path.stat()
    except OSError:
        return 0, 0
    return found.st_dev, found.st_ino


def _opened(path: Path, factory: type[sqlite3.Connection]) -> sqlite3.Connection:
    connection = connect(path, factory=factory)
    try:
        identify(connection, path, NOTEBOOK)
        with plainly(path):
            connection.execute("PRAGMA synchronous = FULL")
        migrate(connection, path, NOTEBOOK)
    except BaseException:
        connection.close()
        raise
    return connection
