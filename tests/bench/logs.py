"""Data folders with a long log: a block of invented minutes, copied back through the years within SQLite."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from sim.clocks import ManualClock
from sim.replay import NoSignal
from station.daemon import Station
from station.domain.alert import Alert, AlertKind
from station.domain.jars import Bottled, Judged, Judgement, Strained
from station.domain.readings import Reading
from station.ports import Minute, Rig
from station.store import rollups
from station.store.notebook import Notebook
from station.store.reading_rows import BOOT_SHIFT, COLUMNS, INSERT, row_of
from station.store.shelf_log import ShelfLog
from station.store.times import HOUR_MS, ms_of
from tests.bench.kitchens import DAY, SETTINGS, readings

BLOCK_DAYS = 73
"""A fifth of a year."""
ALERTS_A_DAY = 2
JARS_A_YEAR = 30


def a_folder(folder: Path, until_at: datetime, days: int, jar_days: float = 3.0) -> Path:
    """Fill a data folder: a log of `days` days up to `until_at`, alerts, jars of the past, and two that work.

    The last week is the same however long the log is. Every reading, hour and day is there as the station would have
    written it; only the jars of the past stand in the notebook alone.

    Args:
        folder: an empty one, made if need be.
        until_at: when the log ends, at a full hour.
        days: how long it is; beyond `BLOCK_DAYS`, a multiple of it.
        jar_days: how long the two jars have worked.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "shelf.db"
    with ShelfLog.open(path, durable=False) as log, log.batch():
        for alert in _alerts(until_at, days):
            log.commit(Minute(None, alerts=(alert,)))
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("BEGIN")
        _fill(connection, until_at, days)
        connection.execute("COMMIT")
    _pack(folder, until_at, days, jar_days)
    _live_a_minute(folder, until_at)
    return folder


def _fill(connection: sqlite3.Connection, until_at: datetime, days: int) -> None:
    copies = max(1, days // BLOCK_DAYS)
    boots = [(number, f"boot-{number}") for number in range(1, copies + 1)]
    connection.executemany("INSERT INTO boots (no, boot_id) VALUES (?, ?)", boots)
    since_at = until_at - timedelta(days=min(days, BLOCK_DAYS))
    connection.executemany(INSERT, (row_of(reading, copies) for reading in _block(until_at, days)))
    first, last = (ms_of(at) // HOUR_MS for at in (since_at, until_at))
    rollups.rebuild(connection, range(first - 1, last + 1))
    for copy in range(1, copies):
        _copy(connection, copy, first_ms=ms_of(since_at))


def _block(until_at: datetime, days: int) -> Iterator[Reading]:
    """Yield the last days, so numbered that the kitchen's last minute is always the same."""
    start_at, end = until_at - timedelta(days=BLOCK_DAYS), BLOCK_DAYS * DAY
    return readings(start_at, range(end - min(days, BLOCK_DAYS) * DAY + 1, end))


def _copy(connection: sqlite3.Connection, copy: int, first_ms: int) -> None:
    """Copy the newest block back by `copy` blocks, as a boot of its own."""
    shift_ms = copy * BLOCK_DAYS * 24 * HOUR_MS
    values = COLUMNS.replace("id, dated_ms", f"id - ({copy} << {BOOT_SHIFT}), dated_ms - {shift_ms}")
    connection.execute(
        f"INSERT INTO readings ({COLUMNS}) SELECT {values} FROM readings WHERE dated_ms > ?",  # noqa: S608
        (first_ms,),
    )
    cells = ", ".join(rollups.cells())
    for table, key, width_h in (("hours", "hour", 1), ("days", "day", 24)):
        connection.execute(
            f"INSERT OR IGNORE INTO {table} ({key}, {cells}) SELECT {key} - ?, {cells} FROM {table} WHERE {key} >= ?",  # noqa: S608
            (copy * BLOCK_DAYS * 24 // width_h, first_ms // HOUR_MS // width_h),
        )


def _alerts(until_at: datetime, days: int) -> Iterator[Alert]:
    for number in range(days * ALERTS_A_DAY):
        raised_at = until_at - timedelta(days=(number + 1) / ALERTS_A_DAY)
        alert = Alert(f"cold-{number}", AlertKind.COLD, raised_at, raised_at, value=15.1, peak=14.8, boot_id="boot-1")
        yield replace(alert, cleared_at=raised_at + timedelta(hours=3))


def _pack(folder: Path, until_at: datetime, days: int, jar_days: float) -> None:
    with Notebook.open(folder / "notebook.db") as notebook:
        for number in range(round(days / 365.0 * JARS_A_YEAR)):
            packed_at = until_at - timedelta(days=14.0 + number * 365.0 / JARS_A_YEAR)
            jar = notebook.pack("nettle" if number % 2 else "comfrey", packed_at, 1000.0, now_at=packed_at)
            strained_at, bottled_at = packed_at + timedelta(days=6.0), packed_at + timedelta(days=6.5)
            notebook.record(Strained(jar.id, strained_at), now_at=until_at)
            notebook.record(Judged(jar.id, strained_at, Judgement.RIGHT), now_at=until_at)
            notebook.record(Bottled(jar.id, bottled_at, 180.0), now_at=until_at)
        for plant, jar_ml in (("dandelion", 1000.0), ("borage", 1500.0)):
            notebook.pack(plant, until_at - timedelta(days=jar_days), jar_ml, now_at=until_at)


def _live_a_minute(folder: Path, until_at: datetime) -> None:
    """Let the station itself take the last minute: it finds the jars and writes what it thinks of them."""
    (last,) = readings(until_at - timedelta(days=BLOCK_DAYS), range(BLOCK_DAYS * DAY, BLOCK_DAYS * DAY + 1))
    with (
        ShelfLog.open(folder / "shelf.db", durable=False) as log,
        Notebook.open(folder / "notebook.db") as notebook,
    ):
        station = Station(SETTINGS, Rig(ManualClock(), (), None, NoSignal()), log, notebook)
        station.start()
        station.take(replace(last, boot_id="the last boot"))
