"""Questions to the hours and days of the shelf log, and the rows that answer them."""

from dataclasses import replace
from typing import Any

from station.store import rollups
from station.store.summaries import Bucket, HourSummary, Spread
from station.store.times import DAY_MS, HOUR_MS, at_ms

HOURS_FROM_MS = 15 * 60_000
"""A chart with steps this long or longer is drawn from the hours,"""
DAYS_FROM_MS = 8 * HOUR_MS
"""and one with steps this long from the days: so five years cost no more than a week."""


def _spread(weight: int | None, total: int, low: int, high: int) -> Spread | None:
    return Spread(low / 1000.0, total / weight / 1000.0, high / 1000.0) if weight else None


def hour_of(row: tuple[Any, ...]) -> HourSummary:
    """Return the hour that a row of the table of hours holds."""
    hour, count, measured_ms = row[:3]
    temp_c, rh_pct, light_lx = (_spread(*row[first : first + 4]) for first in (3, 7, 11))
    raised_h = tuple((kind, ms / HOUR_MS) for kind, ms in zip(rollups.BITS, row[15:21], strict=True) if ms)
    temp_h = (row[3] or 0) / HOUR_MS
    return HourSummary(
        at_ms(hour * HOUR_MS), temp_c, rh_pct, light_lx, measured_ms / HOUR_MS, raised_h, count, temp_h=temp_h
    )


def stretch_of(row: tuple[Any, ...], first: int) -> HourSummary:
    """Return what a row of `summed_sql` holds of a stretch that begins with the hour `first`."""
    return replace(hour_of((first, *row[1:-1])), good_h=row[-1] / HOUR_MS)


def bucket_of(row: tuple[Any, ...], start_ms: int, width_ms: int) -> Bucket:
    """Return what a row of one of `SERIES` holds: a step of a chart that begins at `start_ms`."""
    temp_c, rh_pct, light_lx = (_spread(*row[first : first + 4]) for first in (3, 7, 11))
    start_at = at_ms(start_ms + row[0] * width_ms)
    return Bucket(start_at, width_ms / 1000.0, temp_c, rh_pct, light_lx, row[1])


def _raw_columns(name: str) -> str:
    air = rollups.AIR_SQL[name]
    weight = f"sum(CASE WHEN {air} IS NULL THEN 0 ELSE span_ms END)"
    return f"{weight}, sum(({air}) * span_ms), min({air}), max({air})"


SERIES = {
    1: f"SELECT (dated_ms - ?) / ?, count(*), 0, {', '.join(map(_raw_columns, rollups.VALUES))} FROM readings"  # noqa: S608
    " WHERE dated_ms >= ? AND dated_ms < ? GROUP BY 1 ORDER BY 1"
}
SERIES |= {
    unit_ms: f"SELECT ({unit} - ?) / ?, {', '.join(map(rollups.total, rollups.cells()))}"  # noqa: S608
    f" FROM {unit}s WHERE {unit} >= ? AND {unit} < ? GROUP BY 1 ORDER BY 1"
    for unit, unit_ms in (("hour", HOUR_MS), ("day", DAY_MS))
}
"""The question for a chart whose steps are counted so: from where, how many to a step, from where, until where."""


def unit_ms_of(width_ms: int) -> int:
    """Return in what a chart is counted whose steps are so long: days, hours, or milliseconds of single readings."""
    if width_ms >= DAYS_FROM_MS:
        return DAY_MS
    return HOUR_MS if width_ms >= HOURS_FROM_MS else 1


def summed_sql(parts: int) -> str:
    """Return the question for so many stretches: each is found by its first hour, however long the log is."""
    values = ", ".join(["(?, ?, ?)"] * parts)
    return f"WITH part (place, first_hour, end_hour) AS (VALUES {values}){_SUMMED}"


_SUMMED = (
    f" SELECT place, {', '.join(map(rollups.total, rollups.cells()))}, {rollups.GOOD_SQL}"  # noqa: S608
    " FROM part JOIN hours ON hour >= first_hour AND hour < end_hour GROUP BY place ORDER BY place"
)
