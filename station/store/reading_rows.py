"""Readings as rows of whole numbers: milliseconds and thousandths."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import datetime

from station.domain.readings import Mark, ProbeReading, Reading
from station.store.times import at_ms, ms_of

BOOT_SHIFT = 43
"""An id is the boot's number times 2**43 plus the milliseconds since that boot: 278 years, a million boots."""
_MS_MASK = (1 << BOOT_SHIFT) - 1
CHUNK = 5000
"""How many readings are fetched at once: a cursor is never left open, and memory stays small."""

Row = tuple[int, int, int | None, int | None, int | None, int | None, int, int, int, int, int, int]
COLUMNS = "id, dated_ms, raw_ms, temp, rh, light, good, missed, trusted, span_ms, marks, raised"
INSERT = f"INSERT OR IGNORE INTO readings ({COLUMNS}) VALUES (?, ?, NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?)"  # noqa: S608
SELECT = f"SELECT {COLUMNS} FROM readings"  # noqa: S608
LAST_MEASURED = "SELECT dated_ms FROM readings WHERE coalesce(temp, rh, light) IS NOT NULL ORDER BY id DESC LIMIT 1"
_PAGE = f"{SELECT} WHERE (dated_ms, id) > (?, ?) AND dated_ms <= ? ORDER BY dated_ms, id LIMIT {CHUNK}"
_FOR_EVER = 1 << 62


def reading_id(boot_no: int, boot_s: float) -> int:
    """Return the key that makes a reading unique."""
    return (boot_no << BOOT_SHIFT) + round(boot_s * 1000.0)


def id_range(boot_no: int) -> tuple[int, int]:
    """Return the first and last id that readings of a boot can have."""
    return boot_no << BOOT_SHIFT, (boot_no << BOOT_SHIFT) + _MS_MASK


def since_boot_ms(key: int) -> int:
    """Return the milliseconds since its boot of the reading with that id."""
    return key & _MS_MASK


def thousandths(value: float | None) -> int | None:
    """Return a value as a whole number of thousandths."""
    return None if value is None else round(value * 1000.0)


def _value(number: int | None) -> float | None:
    return None if number is None else number / 1000.0


def row_of(reading: Reading, boot_no: int, raised: int = 0) -> tuple[int | None, ...]:
    """Return what INSERT takes."""
    return (
        reading_id(boot_no, reading.boot_s),
        ms_of(reading.measured_at),
        thousandths(reading.temp_c),
        thousandths(reading.rh_pct),
        thousandths(reading.light_lx),
        reading.good,
        reading.missed,
        int(reading.trusted),
        round(reading.span_s * 1000.0),
        int(reading.marks),
        raised,
    )


def reading_of(row: Row, boot_id: str, probes: tuple[ProbeReading, ...] = ()) -> Reading:
    """Return the reading a row holds."""
    key, dated_ms, _, temp, rh, light, good, missed, trusted, span_ms, marks, _ = row
    return Reading(
        measured_at=at_ms(dated_ms),
        boot_id=boot_id,
        boot_s=since_boot_ms(key) / 1000.0,
        temp_c=_value(temp),
        rh_pct=_value(rh),
        light_lx=_value(light),
        good=good,
        missed=missed,
        trusted=bool(trusted),
        span_s=span_ms / 1000.0,
        marks=Mark(marks),
        probes=probes,
    )


def readings_of(connection: sqlite3.Connection, rows: list[Row]) -> list[Reading]:
    """Return the readings of some rows, with their boots and probes."""
    if not rows:
        return []
    boots = dict(connection.execute("SELECT no, boot_id FROM boots").fetchall())
    probes = _probes(connection, rows)
    return [reading_of(row, boots[row[0] >> BOOT_SHIFT], probes.get(row[0], ())) for row in rows]


def _probes(connection: sqlite3.Connection, rows: list[Row]) -> dict[int, tuple[ProbeReading, ...]]:
    keys = [row[0] for row in rows]
    found: dict[int, tuple[ProbeReading, ...]] = {}
    sql = "SELECT reading, probe, temp FROM probes WHERE reading BETWEEN ? AND ?"
    for key, probe, temp in connection.execute(sql, (min(keys), max(keys))).fetchall():
        found[key] = (*found.get(key, ()), ProbeReading(probe, temp / 1000.0))
    return found


def paged(
    opened: Callable[[], AbstractContextManager[sqlite3.Connection]], since_at: datetime, until_at: datetime | None
) -> Iterator[Reading]:
    """Yield readings in order of dated time, both ends included; no cursor is open while the caller works.

    Args:
        opened: lends a connection for one page.
        since_at, until_at: aware; None is no end.
    """
    after, until = (ms_of(since_at), -1), _FOR_EVER if until_at is None else ms_of(until_at)
    more = True
    while more:
        with opened() as connection:
            rows = connection.execute(_PAGE, (*after, until)).fetchall()
            readings = readings_of(connection, rows)
        yield from readings
        more = len(rows) == CHUNK
        after = (rows[-1][1], rows[-1][0]) if rows else after
