"""Roll-ups by the hour and by the day: sums weighted by time, extremes, and how long each condition held.

Whole numbers throughout, so that they are exactly what the readings give.

A temperature or humidity that was taken in direct sun is not the air's and stays out.
"""

import sqlite3
from collections.abc import Iterable

from station.domain.conditions import Kind
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.domain.readings import Mark
from station.store.times import HOUR_MS

BITS = {Kind.SILENT: 1, Kind.SUN: 2, Kind.HOT: 4, Kind.COLD: 8, Kind.DAMP: 16, Kind.BRIGHT: 32}
"""How a reading's row says which conditions held. The numbers are stored: never renumber."""
VALUES = ("temp", "rh", "light")
_KINDS = tuple(kind.value for kind in BITS)
_SUNLIT = int(Mark.SUNLIT)
DAY_HOURS = 24
_YEAR_1_MS = 62_135_596_800_000
"""From year 1 to 1970; keeps the division below on one side of zero."""

HOUR_SQL = f"((dated_ms - span_ms / 2 + {_YEAR_1_MS}) / {HOUR_MS} - {_YEAR_1_MS // HOUR_MS})"
"""A reading belongs to the hour in which the middle of its span lies; hours are counted from 1970."""
AIR_SQL = {
    "temp": f"CASE WHEN marks & {_SUNLIT} THEN NULL ELSE temp END",
    "rh": f"CASE WHEN marks & {_SUNLIT} THEN NULL ELSE rh END",
    "light": "light",
}

GOOD_SQL = (
    f"sum(CASE WHEN temp_sum BETWEEN {GOOD_LOW_C * 1000:.0f} * temp_ms AND {GOOD_HIGH_C * 1000:.0f} * temp_ms"
    " AND temp_ms > 0 THEN temp_ms ELSE 0 END)"
)
"""How long the mean temperature of hours lay within the good range, in milliseconds."""


def hour_of(dated_ms: int, span_ms: int) -> int:
    """Return the hour a reading belongs to, as HOUR_SQL does."""
    return (dated_ms - span_ms // 2) // HOUR_MS


def add(connection: sqlite3.Connection, row: tuple[int | None, ...]) -> None:
    """Add a reading's row (as INSERT takes it) to its hour and its day."""
    _, dated_ms, temp, rh, light, _, _, _, span_ms, marks, raised = row
    assert dated_ms is not None and span_ms is not None and marks is not None and raised is not None  # noqa: S101, PT018
    if marks & _SUNLIT:
        temp = rh = None
    measured = 0 if row[2] is None and row[3] is None and light is None else span_ms
    hour = hour_of(dated_ms, span_ms)
    cells = [hour, 1, measured]
    for value in (temp, rh, light):
        cells += (0, 0, None, None) if value is None else (span_ms, value * span_ms, value, value)  # type: ignore[arg-type]
    cells += [span_ms if raised & bit else 0 for bit in BITS.values()]
    connection.execute(_ADD_TO_HOUR, cells)
    cells[0] = hour // DAY_HOURS
    connection.execute(_ADD_TO_DAY, cells)


def cells() -> list[str]:
    """Return the columns that `hours` and `days` share, in order."""
    cells = ["n", "measured_ms"]
    cells += [f"{name}_{part}" for name in VALUES for part in ("ms", "sum", "min", "max")]
    return cells + [f"{kind}_ms" for kind in _KINDS]


def total(cell: str) -> str:
    """Return the SQL that puts a column of several hours or days together."""
    return f"{cell[-3:] if cell.endswith(('_min', '_max')) else 'sum'}({cell})"


def _added(cell: str) -> str:
    if cell.endswith(("_min", "_max")):
        new = f"excluded.{cell}"
        return f"{cell} = {cell[-3:]}(coalesce({cell}, {new}), coalesce({new}, {cell}))"
    return f"{cell} = {cell} + excluded.{cell}"


def _summed() -> list[str]:
    parts = ["count(*)", "sum(CASE WHEN coalesce(temp, rh, light) IS NULL THEN 0 ELSE span_ms END)"]
    for name in VALUES:
        air = AIR_SQL[name]
        parts += [f"sum(CASE WHEN {air} IS NULL THEN 0 ELSE span_ms END)", f"coalesce(sum(({air}) * span_ms), 0)"]
        parts += [f"min({air})", f"max({air})"]
    return parts + [f"sum(CASE WHEN raised & {bit} THEN span_ms ELSE 0 END)" for bit in BITS.values()]


def _add(table: str, key: str) -> str:
    return (
        f"INSERT INTO {table} ({key}, {', '.join(_CELLS)}) VALUES (?{', ?' * len(_CELLS)})"  # noqa: S608
        f" ON CONFLICT ({key}) DO UPDATE SET {', '.join(map(_added, _CELLS))}"
    )


_CELLS = cells()
_ADD_TO_HOUR = _add("hours", "hour")
_ADD_TO_DAY = _add("days", "day")
_HOUR_FROM_READINGS = (
    f"INSERT INTO hours (hour, {', '.join(_CELLS)}) SELECT {HOUR_SQL}, {', '.join(_summed())} FROM readings"  # noqa: S608
    f" WHERE dated_ms >= ? AND dated_ms < ? AND {HOUR_SQL} = ? GROUP BY 1"
)
_DAY_FROM_HOURS = (
    f"INSERT INTO days (day, {', '.join(_CELLS)})"  # noqa: S608
    f" SELECT ?, {', '.join(map(total, _CELLS))} FROM hours WHERE hour >= ? AND hour < ? HAVING count(*) > 0"
)


def rebuild(connection: sqlite3.Connection, hours: Iterable[int]) -> None:
    """Work out some hours, and their days, again from the readings."""
    wanted = sorted(set(hours))
    for hour in wanted:
        connection.execute("DELETE FROM hours WHERE hour = ?", (hour,))
        # A reading ends at most half its span (an hour at most) after its hour.
        connection.execute(_HOUR_FROM_READINGS, (hour * HOUR_MS, (hour + 2) * HOUR_MS, hour))
    for day in sorted({hour // DAY_HOURS for hour in wanted}):
        connection.execute("DELETE FROM days WHERE day = ?", (day,))
        connection.execute(_DAY_FROM_HOURS, (day, day * DAY_HOURS, (day + 1) * DAY_HOURS))
