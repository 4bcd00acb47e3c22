"""A database connection whose n-th call fails, as SQLite's own tests do it."""

import sqlite3
from typing import Any


class FailingConnection(sqlite3.Connection):
    """Counts the calls of all its kind since `failing_at`, and fails one of them."""

    calls = 0
    fail_at = 0

    def execute(self, *args: Any, **kwargs: Any) -> sqlite3.Cursor:
        FailingConnection.calls += 1
        if FailingConnection.calls == FailingConnection.fail_at:
            raise sqlite3.OperationalError("disk I/O error")
        return super().execute(*args, **kwargs)


def failing_at(call: int) -> None:
    """Begin to count anew; fail that call, or none with 0."""
    FailingConnection.calls, FailingConnection.fail_at = 0, call
