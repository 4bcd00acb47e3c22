"""Connections of which one call fails: SQLite's own way of testing, number by number."""

import sqlite3
from typing import Any


class Faults:
    """Counts the calls of the connections it makes and lets one fail.

    Args:
        number: which call fails, from 1; it then goes well again.
        late: whether the call has its effect before it fails, as a write may when the answer is lost.
    """

    def __init__(self, number: int, *, late: bool) -> None:
        self.number = number
        self.late = late
        self.calls = 0
        self.armed = False

    @property
    def happened(self) -> bool:
        return self.calls >= self.number

    def factory(self) -> type[sqlite3.Connection]:
        faults = self

        class Faulty(sqlite3.Connection):
            def execute(self, sql: str, parameters: Any = (), /) -> sqlite3.Cursor:
                fails = faults.hit()
                if not fails or faults.late:
                    cursor = super().execute(sql, parameters)
                if fails:
                    raise _io_error()
                return cursor

        return Faulty

    def hit(self) -> bool:
        if not self.armed:
            return False
        self.calls += 1
        return self.calls == self.number


def _io_error() -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR
    return error
