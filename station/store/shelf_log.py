"""The shelf log as the station writes it: one writer, one commit a minute, whole minutes only."""

import shutil
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from station.domain.conditions import Kind
from station.domain.readings import Reading
from station.errors import StoreError
from station.messages import person_topic, target_of
from station.ports import Message, Minute, Redating, Saved
from station.store import redating, rollups
from station.store.connection import connect, plainly, writing
from station.store.migrations import SHELF_LOG, identify, migrate
from station.store.reading_rows import INSERT, LAST_MEASURED, paged, row_of, thousandths
from station.store.state_rows import (
    ALERTS,
    FOR_BROKER,
    FOR_TARGET,
    LAST_CLEARED,
    LIGHT,
    PUT_ALERT,
    PUT_HEARTBEAT,
    PUT_MESSAGE,
    PUT_OUTLOOK,
    PUT_STATE,
    PUT_WAY,
    WAITING,
    WAYS,
    alert_of,
    light_of,
    message_of,
    outlooks_of,
    row_of_alert,
    row_of_heartbeat,
    row_of_light,
    row_of_message,
    row_of_outlook,
    row_of_state,
    row_of_way,
    state_of,
    way_of,
)
from station.store.times import HOUR_MS, at_ms, ms_of
from station.store.writer_lock import locked

PAGE_BYTES = 1024
"""A minute touches four pages; each is written whole."""


class ShelfLog:
    """The station's memory on disk; satisfies `station.ports.ShelfLog`.

    Times of readings are kept to the millisecond, values to a thousandth. A reading is known by its boot id and its
    time since boot: a boot id that comes twice makes the second run's minutes look like repeats.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection, lock: IO[str]) -> None:
        self._path = path
        self._connection = connection
        self._lock = lock
        self._batch = False
        self._forget()

    @classmethod
    def open(cls, path: Path, *, durable: bool = True, factory: type[sqlite3.Connection] = sqlite3.Connection) -> Self:
        """Open the file for writing, made or brought up to date as needed.

        Args:
            path: `shelf.db` in the data folder.
            durable: whether a commit survives a power cut; False for the simulator's history.
            factory: the kind of connection; tests hand in one that fails.

        Raises:
            StoreError: it cannot be opened, is not ours, is newer, is damaged, or another program writes it.
        """
        lock = locked(path)
        try:
            return cls(path, _opened(path, factory, durable=durable), lock)
        except BaseException:
            lock.close()
            raise

    def close(self) -> None:
        """Close the file; may be called twice."""
        self._connection.close()
        self._lock.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.close()

    def saved(self) -> Saved:
        """Everything needed to go on after a restart; only open alerts."""
        with plainly(self._path):
            states = self._connection.execute("SELECT * FROM states").fetchall()
            alerts = self._connection.execute(f"{ALERTS} WHERE cleared_us IS NULL ORDER BY raised_us, id").fetchall()
            cleared = self._connection.execute(LAST_CLEARED).fetchall()
            outlooks = self._connection.execute("SELECT body FROM outlooks ORDER BY jar_id").fetchall()
            ways = self._connection.execute(WAYS).fetchall()
            boot_id, boot_at = redating.untrusted_boot(self._connection)
            measured = self._connection.execute(LAST_MEASURED).fetchone()
        return Saved(
            conditions=tuple(state_of(row) for row in states if row[0] != LIGHT),
            light=next((light_of(row) for row in states if row[0] == LIGHT), None),
            alerts=tuple(map(alert_of, alerts)),
            outlooks=outlooks_of(outlooks),
            untrusted_boot_id=boot_id,
            untrusted_boot_at=boot_at,
            ways=tuple(map(way_of, ways)),
            cleared=tuple(alert_of(row[:-1]) for row in cleared),
            measured_at=at_ms(measured[0]) if measured else None,
        )

    def commit(self, minute: Minute) -> None:
        """Keep a minute, whole. One whose reading is already there was kept before: it changes nothing.

        Raises:
            StoreError: nothing of it was kept, or that is not known: the station must end.
        """
        with self._writing():
            self._keep(minute)

    @contextmanager
    def batch(self) -> Iterator[None]:
        """Keep many minutes in one transaction: for a simulated history, where speed counts and nobody waits."""
        with self._writing():
            self._batch = True
            try:
                yield
            finally:
                self._batch = False

    @contextmanager
    def _writing(self) -> Iterator[None]:
        if self._batch:
            yield
            return
        try:
            with writing(self._connection, self._path):
                yield
        except BaseException:
            self._forget()
            raise

    def _forget(self) -> None:
        """Drop what is remembered of the file: after a failure only the file knows."""
        self._boots: dict[str, int] = {}
        self._raised: int | None = None

    def _keep(self, minute: Minute) -> None:
        run = self._connection.execute
        if minute.redating is not None:
            self._redate(minute.redating)
        raised = self._raised_after(minute)
        if minute.reading is not None and not self._keep_reading(minute.reading, raised):
            return
        for state in minute.conditions:
            run(PUT_STATE, row_of_state(state))
        self._raised = raised
        if minute.light is not None:
            run(PUT_STATE, row_of_light(minute.light))
        for alert in minute.alerts:
            run(PUT_ALERT, row_of_alert(alert))
        for outlook in minute.outlooks:
            run(PUT_OUTLOOK, row_of_outlook(outlook))
        self._keep_outbox(minute)
        if minute.heartbeat is not None:
            run(PUT_HEARTBEAT, row_of_heartbeat(minute.heartbeat))

    def _keep_outbox(self, minute: Minute) -> None:
        """Keep what is to go out, drop what has arrived, and keep how the ways are doing: all of them, or none."""
        run = self._connection.execute
        for message in minute.messages:
            run(PUT_MESSAGE, row_of_message(message))
        for number in minute.sent:
            run("DELETE FROM outbox WHERE id = ?", (number,))
        if minute.ways:
            run("DELETE FROM ways WHERE place >= ?", (len(minute.ways),))
        for place, way in enumerate(minute.ways):
            run(PUT_WAY, row_of_way(place, way))

    def _keep_reading(self, reading: Reading, raised: int) -> bool:
        """Insert a reading and add it to its hour; False if it was there already."""
        row = row_of(reading, self._boot_no(reading.boot_id), raised)
        if self._connection.execute(INSERT, row).rowcount == 0:
            return False
        rollups.add(self._connection, row)
        for probe in reading.probes:
            values = (row[0], probe.probe, thousandths(probe.temp_c))
            self._connection.execute("INSERT INTO probes (reading, probe, temp) VALUES (?, ?, ?)", values)
        return True

    def _boot_no(self, boot_id: str) -> int:
        if boot_id not in self._boots:
            self._connection.execute("INSERT OR IGNORE INTO boots (boot_id) VALUES (?)", (boot_id,))
            found = self._connection.execute("SELECT no FROM boots WHERE boot_id = ?", (boot_id,)).fetchone()
            self._boots[boot_id] = found[0]
        return self._boots[boot_id]

    def _raised_after(self, minute: Minute) -> int:
        if self._raised is None:
            rows = self._connection.execute("SELECT name FROM states WHERE raised").fetchall()
            self._raised = sum(rollups.BITS[Kind(name)] for (name,) in rows)
        raised = self._raised
        for state in minute.conditions:
            bit = rollups.BITS[state.kind]
            raised = raised | bit if state.raised else raised & ~bit
        return raised

    def _redate(self, change: Redating) -> None:
        redating.redate(self._connection, self._boot_no(change.boot_id), change)

    def import_readings(self, readings: Iterable[Reading]) -> tuple[int, int]:
        """Keep the readings of a log file, all or none; a moment that has a reading already keeps it.

        Returns:
            How many were added, and how many were there already.

        Raises:
            StoreError: nothing was kept.
        """
        added = there = 0
        with self._writing():
            for reading in readings:
                if not self._has(reading) and self._keep_reading(reading, 0):
                    added += 1
                else:
                    there += 1
        return added, there

    def _has(self, reading: Reading) -> bool:
        sql = "SELECT 1 FROM readings WHERE dated_ms = ?"
        return self._connection.execute(sql, (ms_of(reading.measured_at),)).fetchone() is not None

    def pending(self, most: int = 50, target: str | None = None) -> tuple[Message, ...]:
        """The oldest messages not yet acknowledged, in order: the broker's, or those of one target of the settings."""
        sql, values = (FOR_BROKER, (most,)) if target is None else (FOR_TARGET, (person_topic(target), most))
        with plainly(self._path):
            return tuple(map(message_of, self._connection.execute(sql, values).fetchall()))

    def waiting(self) -> dict[str | None, int]:
        """How many messages wait for each target, and under None for the broker; those without any left out."""
        with plainly(self._path):
            rows = self._connection.execute(WAITING).fetchall()
        return {target_of(topic): count for topic, count in rows}

    def free_bytes(self) -> int | None:
        """Free space where the log lies, or None if that is not known."""
        try:
            return shutil.disk_usage(self._path.parent).free
        except OSError:
            return None

    def readings(self, since_at: datetime, until_at: datetime | None = None) -> Iterator[Reading]:
        """Readings by their dated time, in order, both ends included."""
        with plainly(self._path):
            yield from paged(lambda: nullcontext(self._connection), since_at, until_at)

    def hour_temps(self, since_at: datetime) -> Sequence[tuple[datetime, float]]:
        """Hourly mean air temperatures, in order: the start of the hour and °C; hours without one left out."""
        first = -(-ms_of(since_at) // HOUR_MS)
        sql = "SELECT hour, temp_sum, temp_ms FROM hours WHERE hour >= ? AND temp_ms > 0 ORDER BY hour"
        with plainly(self._path):
            rows = self._connection.execute(sql, (first,)).fetchall()
        return [(at_ms(hour * HOUR_MS), total / span_ms / 1000.0) for hour, total, span_ms in rows]


def _opened(path: Path, factory: type[sqlite3.Connection], *, durable: bool) -> sqlite3.Connection:
    cut_short = path.with_name(path.name + "-wal").exists()
    connection = connect(path, factory=factory)
    try:
        identify(connection, path, SHELF_LOG)  # before anything is changed in a file that is not ours
        with plainly(path):
            if cut_short:
                _check(connection, path)
            connection.execute(f"PRAGMA page_size = {PAGE_BYTES}")
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute(f"PRAGMA synchronous = {'FULL' if durable else 'OFF'}")
            connection.execute("PRAGMA journal_size_limit = 4194304")
        migrate(connection, path, SHELF_LOG)
    except BaseException:
        connection.close()
        raise
    return connection


def _check(connection: sqlite3.Connection, path: Path) -> None:
    """Look for damage after the last writer did not close the file."""
    (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
    if verdict != "ok":
        raise StoreError(f"{path} is damaged: {verdict}", "Restore a backup: jarside restore.")
