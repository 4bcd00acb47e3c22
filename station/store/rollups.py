"""Hourly roll-ups: sums weighted by time, extremes, and how long each condition held; whole numbers, so exact.

A temperature or humidity that was taken in direct sun is not the air's and stays out.
"""

import sqlite3
from collections.abc import Iterable

from station.domain.conditions import Kind
from station.domain.readings import Mark
from station.store.times import HOUR_MS

BITS = {Kind.SILENT: 1, Kind.SUN: 2, Kind.HOT: 4, Kind.COLD: 8, Kind.DAMP: 16, Kind.BRIGHT: 32}
"""How a reading's row says which conditions held. The numbers are stored: never renumber."""
VALUES = ("temp", "rh", "light")
_KINDS = tuple(kind.value for kind in BITS)
_SUNLIT = int(Mark.SUNLIT)
_YEAR_1_MS = 62_135_596_800_000
"""From year 1 to 1970; keeps the division below on one side of zero."""

HOUR_SQL = f"((dated_ms - span_ms / 2 + {_YEAR_1_MS}) / {HOUR_MS} - {_YEAR_1_MS // HOUR_MS})"
"""A reading belongs to the hour in which the middle of its span lies; hours are counted from 1970."""
AIR_SQL = {
    "temp": f"CASE WHEN marks & {_SUNLIT} THEN NULL ELSE temp END",
    "rh": f"CASE WHEN marks & {_SUNLIT} THEN NULL ELSE rh END",
    "light": "light",
}


def hour_of(dated_ms: int, span_ms: int) -> int:
    """Return the hour a reading belongs to, as HOUR_SQL does."""
    return (dated_ms - span_ms // 2) // HOUR_MS


def add(connection: sqlite3.Connection, row: tuple[int | None, ...]) -> None:
    """Add a reading's row (as INSERT takes it) to its hour."""
    _, dated_ms, temp, rh, light, _, _, _, span_ms, marks, raised = row
    assert dated_ms is not None and span_ms is not None and marks is not None and raised is not None  # noqa: S101, PT018
    if marks & _SUNLIT:
        temp = rh = None
    measured = 0 if row[2] is None and row[3] is None and light is None else span_ms
    cells = [hour_of(dated_ms, span_ms), 1, measured]
    for value in (temp, rh, light):
        cells += (0, 0, None, None) if value is None else (span_ms, value * span_ms, value, value)  # type: ignore[arg-type]
    cells += [span_ms if raised & bit else 0 for bit in BITS.values()]
    connection.execute(_ADD, cells)


def _cells() -> list[str]:
    cells = ["hour", "n", "measured_ms"]
    cells += [f"{name}_{part}" for name in VALUES for part in ("ms", "sum", "min", "max")]
    return cells + [f"{kind}_ms" for kind in _KINDS]


def _added(cell: str) -> str:
    if cell.endswith(("_min", "_max")):
        new = f"excluded.{cell}"
        return f"{cell} = {cell[-3:]}(coalesce({cell}, {new}), coalesce({new}, {cell}))"
    return f"{cell} = {cell} + excluded.{cell}"


def _summed() -> list[str]:
    parts = [HOUR_SQL, "count(*)", "sum(CASE WHEN coalesce(temp, rh, light) IS NULL THEN 0 ELSE span_ms END)"]
    for name in VALUES:
        air = AIR_SQL[name]
        parts += [f"sum(CASE WHEN {air} IS NULL THEN 0 ELSE span_ms END)", f"coalesce(sum(({air}) * span_ms), 0)"]
        parts += [f"min({air})", f"max({air})"]
    return parts + [f"sum(CASE WHEN raised & {bit} THEN span_ms ELSE 0 END)" for bit in BITS.values()]


_CELLS = _cells()
_ADD = (
    f"INSERT INTO hours ({', '.join(_CELLS)}) VALUES ({', '.join('?' * len(_CELLS))})"  # noqa: S608
    f" ON CONFLICT (hour) DO UPDATE SET {', '.join(_added(cell) for cell in _CELLS[1:])}"
)
_REBUILD = (
    f"INSERT INTO hours ({', '.join(_CELLS)}) SELECT {', '.join(_summed())} FROM readings"  # noqa: S608
    f" WHERE dated_ms >= ? AND dated_ms < ? AND {HOUR_SQL} = ? GROUP BY 1"
)


def rebuild(connection: sqlite3.Connection, hours: Iterable[int]) -> None:
    """Work out some hours again from their readings."""
    for hour in sorted(set(hours)):
        connection.execute("DELETE FROM hours WHERE hour = ?", (hour,))
        # A reading ends at most half its span (an hour at most) after its hour.
        connection.execute(_REBUILD, (hour * HOUR_MS, (hour + 2) * HOUR_MS, hour))
