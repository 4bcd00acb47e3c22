"""Tokens of forms: a second submit of one form finds what the first one made, and writes nothing."""

import sqlite3


def made_by(connection: sqlite3.Connection, token: str) -> str | None:
    """Return the id of what was made with `token`, or None; "" is nobody's token."""
    if not token:
        return None
    found = connection.execute("SELECT made FROM tokens WHERE token = ?", (token,)).fetchone()
    return None if found is None else str(found[0])


def spend(connection: sqlite3.Connection, token: str, made: str) -> None:
    """Remember what was made with `token`, unless it is ""."""
    if token:
        connection.execute("INSERT INTO tokens (token, made) VALUES (?, ?)", (token, made))
