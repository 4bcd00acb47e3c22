"""What the store's tests build their files with."""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind, SlidingMean, State
from station.domain.jars import Stage
from station.domain.outlook import Outlook
from station.domain.readings import Mark, Reading
from station.domain.warmth import JarHeat, Warmth
from station.ports import Message, Minute
from station.store import rollups
from station.store.shelf_log import ShelfLog
from tests.builders import START, a_reading

LONG_AGO = datetime.min.replace(tzinfo=UTC)


def after(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def a_shelf_log(folder: Path, **options: Any) -> ShelfLog:
    return ShelfLog.open(folder / "shelf.db", **{"durable": False, **options})


def a_state(kind: Kind = Kind.COLD, **changes: Any) -> State:
    return replace(State(kind, True, 61.25, after(-30.000017), 14.123456789, 14.2), **changes)


def an_alert(alert_id: str = "cold-1", **changes: Any) -> Alert:
    alert = Alert(alert_id, AlertKind.COLD, after(0), after(-30), value=15.1, peak=14.9, boot_id="boot")
    return replace(alert, **changes)


def an_outlook(jar_id: str = "comfrey-1", **changes: Any) -> Outlook:
    heat = JarHeat(Warmth((1.0 / 3.0,) * 7, 4.5, 0.5, 0.25), through_at=after(5), temp_c=19.987654321)
    outlook = Outlook(jar_id, after(5), heat, Stage.WORKING, 0.1, 0.02, 4.4, 5.5, 6.9, caveats=("No history yet.",))
    return replace(outlook, **{"ready_likely_at": after(7000.5), **changes})


def a_message(text: str = "hello", **changes: Any) -> Message:
    return replace(Message(0, "alerts/cold", text.encode(), True, "application/json", after(1)), **changes)


def a_minute(number: int) -> Minute:
    """A minute in which something of everything changes, told apart by its number."""
    return Minute(
        reading=a_reading(number, temp_c=15.0 + number / 10, span_s=60.0),
        conditions=(a_state(held_s=60.0 * number, raised=number % 2 == 0),),
        light=SlidingMean(7200.0, ((number, 60.0, 7200.0),)),
        alerts=(an_alert(f"cold-{number}"),),
        outlooks=(an_outlook(judged_at=after(number)),),
        messages=(a_message(f"minute {number}"),),
        sent=(number - 2,),
    )


def rows(path: Path, sql: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(sql).fetchall()


def everything(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table."""
    names = [name for (name,) in rows(path, "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY 1")]
    return {name: sorted(rows(path, f'SELECT * FROM "{name}"'), key=repr) for name in names}  # noqa: S608


def forget_that_a_temperature_may_be_missing(path: Path) -> None:
    """Damage a file so that every page of it can be read and yet a row breaks the rules of its table."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        sql = """UPDATE sqlite_master SET sql = replace(sql, '"temp" INTEGER', '"temp" INTEGER NOT NULL')"""
        connection.execute(f"{sql} WHERE name = 'readings'")
        connection.commit()


Stored = tuple[Reading, int]
"""A reading, and the bits of the conditions that held."""


def hours_by_hand(stored: Iterable[Stored]) -> list[tuple[Any, ...]]:
    """The hours as they must be, worked out from the readings one at a time."""
    return _by_hand(stored, timedelta(hours=1))


def days_by_hand(stored: Iterable[Stored]) -> list[tuple[Any, ...]]:
    return _by_hand(stored, timedelta(days=1))


def _by_hand(stored: Iterable[Stored], step: timedelta) -> list[tuple[Any, ...]]:
    groups: dict[int, list[Stored]] = {}
    for reading, raised in stored:
        middle = reading.measured_at - timedelta(seconds=reading.span_s) / 2
        groups.setdefault((middle - datetime(1970, 1, 1, tzinfo=UTC)) // step, []).append((reading, raised))
    return [(number, *_cells_by_hand(group)) for number, group in sorted(groups.items())]


def _cells_by_hand(group: list[Stored]) -> list[int | None]:
    cells: list[int | None] = [len(group), sum(_span_ms(one) for one, _ in group if one.measured)]
    for name in ("temp_c", "rh_pct", "light_lx"):
        cells += _value_by_hand(name, [one for one, _ in group])
    return cells + [sum(_span_ms(one) for one, raised in group if raised & bit) for bit in rollups.BITS.values()]


def _value_by_hand(name: str, readings: list[Reading]) -> list[int | None]:
    believed = [one for one in readings if name == "light_lx" or not one.marks & Mark.SUNLIT]
    found = [(value, _span_ms(one)) for one in believed if (value := getattr(one, name)) is not None]
    values = [round(value * 1000) for value, _ in found]
    total = sum(round(value * 1000) * span_ms for value, span_ms in found)
    return [sum(span_ms for _, span_ms in found), total, min(values, default=None), max(values, default=None)]


def _span_ms(reading: Reading) -> int:
    return round(reading.span_s * 1000)
