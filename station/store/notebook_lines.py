"""The lines of the notebook, whatever they are about, as records for a file and back."""

import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import MAXYEAR, MINYEAR, datetime
from typing import Any, Literal

from pydantic import TypeAdapter

from station.domain.readings import aware
from station.domain.stories import CHECKS
from station.errors import NotebookError
from station.store.bottles import BOTTLES
from station.store.corrections import CORRECTIONS
from station.store.feedings import FEEDINGS
from station.store.needs import NEEDS
from station.store.notebook import JARS, Notebook
from station.store.own_plants import PLANTS
from station.store.records import Noun
from station.store.rounds import ROUNDS
from station.store.shelf_moves import MOVES
from station.store.times import CLOCK_SLACK, at_us, us_of
from station.store.trials import TRIALS

_BESIDE: tuple[Noun[Any], ...] = (BOTTLES, FEEDINGS, ROUNDS, TRIALS, PLANTS, NEEDS, CORRECTIONS, MOVES)
_ID_FIELDS = {
    "jar": "jar_id",
    "bottle": "bottle_id",
    "feeding": "feeding_id",
    "round": "round_id",
    "trial": "trial_id",
    "plant": "name",
    "need": "name",
    "correction": "name",
    "shelf": "name",
    "answer": "alert_id",
}


@dataclass(frozen=True, slots=True)
class Answered:
    """What a person did about an alert; it has a table of its own."""

    alert_id: str
    at: datetime
    until_at: datetime | None = None
    kind: Literal["answered"] = "answered"


_ADAPTERS: dict[str, TypeAdapter[Any]] = {
    "jar": JARS,
    "answer": TypeAdapter(Answered),
    **{noun.name: noun.adapter for noun in _BESIDE},
}


@dataclass(frozen=True, slots=True)
class Line:
    """One entry as it is stored.

    Args:
        noun: what it is about: jar, bottle, feeding, round, trial, plant, need, correction, shelf, answer.
        name: the id.
        at_us: when it happened, µs since 1970.
        kind: what happened.
        recorded_us: when it was written down.
        body: the entry as JSON.
    """

    noun: str
    name: str
    at_us: int
    kind: str
    recorded_us: int
    body: str

    def record(self) -> dict[str, Any]:
        """Return the entry for a file: noun, id, kind, both times, then the entry's own fields."""
        fields: dict[str, Any] = json.loads(self.body)
        fields.pop(_ID_FIELDS[self.noun])
        leading = {"noun": self.noun, "id": self.name, "kind": fields.pop("kind"), "at": fields.pop("at")}
        return {**leading, "recorded_at": at_us(self.recorded_us).isoformat(), **fields}


def line_from(record: dict[str, Any]) -> Line:
    """Return the line that a record of a file tells.

    Raises:
        NotebookError: it is about nothing known, has no id, or a time without an offset or at the end of the calendar.
        ValidationError: a field is missing, or its value cannot be.
    """
    fields = dict(record)
    noun, name, recorded = str(fields.pop("noun", "")), fields.pop("id", ""), fields.pop("recorded_at", "")
    if noun not in _ADAPTERS:
        raise NotebookError(f"{noun or '(nothing)'} is not known here", f"Known: {', '.join(_ADAPTERS)}.")
    if not isinstance(name, str) or not name.strip():
        raise NotebookError(f"the {noun} has no id", "Give it one.")
    entry = _ADAPTERS[noun].validate_json(json.dumps({**fields, _ID_FIELDS[noun]: name}), strict=True)
    body = _ADAPTERS[noun].dump_json(entry).decode()
    if "null" in body and _ADAPTERS[noun].validate_json(body) != entry:
        raise NotebookError(f"the {noun} {name} holds a number without an end", "Correct it.")
    recorded_at = _time(recorded)
    for at in _times([recorded_at, *asdict(entry).values()]):
        if not MINYEAR < aware(at).year < MAXYEAR:
            raise NotebookError(f"the {noun} {name} is of {at.isoformat()}, the end of the calendar", "Correct it.")
    return Line(noun, name, us_of(entry.at), entry.kind, us_of(recorded_at), body)


def _times(value: object) -> Iterator[datetime]:
    """Yield every time in a value, however deep: one that no zone can tell would keep the notebook from being read."""
    if isinstance(value, datetime):
        yield value
    elif isinstance(value, dict):
        yield from _times(list(value.values()))
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _times(one)


def _time(text: object) -> datetime:
    try:
        return datetime.fromisoformat(str(text))
    except ValueError:
        raise NotebookError(f"recorded_at {text!r} is not a time", "Write it as 2026-05-14T07:00:00Z.") from None


def kept_lines(notebook: Notebook) -> tuple[Line, ...]:
    """Return every line of the notebook: jars first, then the rest, each in order of recording."""
    with notebook.reading() as connection:
        return _every_line(connection)


def _every_line(connection: sqlite3.Connection) -> tuple[Line, ...]:
    answers = connection.execute("SELECT alert_id, at_us, until_us FROM answers ORDER BY at_us, id").fetchall()
    lines = [Line(*row) for row in connection.execute(_EVERY).fetchall()]
    return (*lines, *(_answer_line(*row) for row in answers))


def _answer_line(alert_id: str, when_us: int, until_us: int | None) -> Line:
    answered = Answered(alert_id, at_us(when_us), at_us(until_us))
    body = _ADAPTERS["answer"].dump_json(answered).decode()
    return Line("answer", alert_id, when_us, answered.kind, when_us, body)


_JARS = "SELECT 'jar' AS noun, jar_id AS name, at_us, kind, recorded_us, body, 0 AS part, id FROM entries"
_REST = "SELECT noun, name, at_us, kind, recorded_us, body, 1 AS part, id FROM records"
_EVERY = f"SELECT noun, name, at_us, kind, recorded_us, body FROM ({_JARS} UNION ALL {_REST}) ORDER BY part, id"  # noqa: S608 - constants


def new_lines(connection: sqlite3.Connection, lines: Sequence[Line]) -> tuple[Line, ...]:
    """Return the lines that the notebook has not; when they were written down does not matter."""
    known = {_sameness(line) for line in _every_line(connection)}
    fresh: dict[tuple[str, str, str], Line] = {}
    for line in lines:
        if _sameness(line) not in known:
            fresh.setdefault(_sameness(line), line)
    return tuple(fresh.values())


def _sameness(line: Line) -> tuple[str, str, str]:
    entry = _ADAPTERS[line.noun].validate_json(line.body)
    return line.noun, line.name, repr(entry)


def write_lines(connection: sqlite3.Connection, lines: Iterable[Line], now_at: datetime) -> None:
    """Write lines inside a write transaction.

    Raises:
        NotebookError: one lies in the future.
    """
    latest_us = us_of(now_at + CLOCK_SLACK)
    for line in lines:
        if line.at_us > latest_us:
            raise NotebookError(f"{line.noun} {line.name} is {line.kind} in the future", "Check the time.")
        row = (line.name, line.at_us, line.kind, line.recorded_us, line.body)
        if line.noun == "jar":
            sql = "INSERT INTO entries (jar_id, at_us, kind, recorded_us, body) VALUES (?, ?, ?, ?, ?)"
            connection.execute(sql, row)
        elif line.noun == "answer":
            until_us = us_of(_ADAPTERS["answer"].validate_json(line.body).until_at)
            sql = "INSERT INTO answers (alert_id, at_us, until_us) VALUES (?, ?, ?)"
            connection.execute(sql, (line.name, line.at_us, until_us))
        else:
            sql = "INSERT INTO records (noun, name, at_us, kind, recorded_us, body) VALUES (?, ?, ?, ?, ?, ?)"
            connection.execute(sql, (line.noun, *row))


def check_stories(connection: sqlite3.Connection, lines: Iterable[Line]) -> None:
    """Refuse lines with which something in the notebook would no longer make sense.

    Raises:
        NotebookError: a jar packed twice, a bottle never filled, and the like.
    """
    for noun, name in dict.fromkeys((line.noun, line.name) for line in lines if line.noun in CHECKS):
        CHECKS[noun](_entries(connection, noun, name))


def _entries(connection: sqlite3.Connection, noun: str, name: str) -> tuple[Any, ...]:
    if noun == "jar":
        rows = connection.execute("SELECT body FROM entries WHERE jar_id = ? ORDER BY id", (name,)).fetchall()
    else:
        sql = "SELECT body FROM records WHERE noun = ? AND name = ? ORDER BY id"
        rows = connection.execute(sql, (noun, name)).fetchall()
    return tuple(_ADAPTERS[noun].validate_json(body) for (body,) in rows)
