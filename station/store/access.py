"""Who may open the pages: `access.db`, beside the shelf log and the notebook and readable by its owner alone.

Not in the notebook, because secrets must not travel with exports and backups: neither holds this file, and what is
restored elsewhere begins without a passphrase, open to its own machine alone. Of the passphrase, of sessions and of
tokens only hashes are kept, so that even who reads the file cannot come in with it. The key of the forms' marks is kept
as it is: it opens nothing by itself.
"""

import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Any, Self

from argon2 import PasswordHasher

from station.domain.readings import aware
from station.store.access_file import (
    ACCESS,
    IDLE,
    LASTING,
    Session,
    Token,
    id_of,
    make_private,
    session_from,
    token_from,
)
from station.store.connection import check_folder, connect, plainly, writing
from station.store.migrations import migrate
from station.store.passphrases import HASHER, AccessError, checked, fits, hash_of
from station.store.times import us_of

MOST_SESSIONS, MOST_TOKENS = 40, 40
SECRET_BYTES, KEY_BYTES = 32, 32


class Access:
    """The passphrase, sessions and tokens of one data folder. May be used from several threads and programs."""

    def __init__(self, path: Path, connection: sqlite3.Connection, hasher: PasswordHasher = HASHER) -> None:
        self._path = path
        self._connection = connection
        self._hasher = hasher
        self._lock = RLock()

    @classmethod
    def open(cls, path: Path, hasher: PasswordHasher = HASHER) -> Self:
        """Open the file, made if it was not there, readable by its owner alone.

        Args:
            path: `access.db` in the data folder.
            hasher: how passphrases are hashed; tests hand in a quicker one.

        Raises:
            StoreError: it cannot be opened, is not ours, or is newer than this program.
        """
        check_folder(path.parent)
        make_private(path)
        connection = connect(path, mode="rw")
        try:
            migrate(connection, path, ACCESS)
        except BaseException:
            connection.close()
            raise
        return cls(path, connection, hasher)

    def close(self) -> None:
        """Close the file; may be called twice."""
        with self._lock:
            self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def protected(self) -> bool:
        """Whether there is a passphrase."""
        return bool(self._found("SELECT 1 FROM kept WHERE name = 'passphrase'"))

    def mark_key(self) -> bytes:
        """Return the key of the forms' marks, made at the first call, so that a form outlives a restart."""
        with self._writing() as connection:
            new = secrets.token_bytes(KEY_BYTES)
            connection.execute("INSERT OR IGNORE INTO kept (name, value) VALUES ('marks', ?)", (new,))
        return bytes(self._found("SELECT value FROM kept WHERE name = 'marks'")[0][0])

    def set_passphrase(self, passphrase: str, *, keep: str = "") -> None:
        """Take a new passphrase; every session ends, except the one that may be kept.

        Args:
            passphrase: 10 to 200 characters.
            keep: the id of a session that goes on.

        Raises:
            AccessError: it is too short or too long.
        """
        kept = hash_of(checked(passphrase), self._hasher)
        with self._writing() as connection:
            connection.execute("INSERT OR REPLACE INTO kept (name, value) VALUES ('passphrase', ?)", (kept,))
            connection.execute("DELETE FROM sessions WHERE id <> ?", (keep,))

    def set_first_passphrase(self, passphrase: str) -> bool:
        """Take a passphrase only if there is none, and return whether it was taken.

        Raises:
            AccessError: it is too short or too long.
        """
        kept = hash_of(checked(passphrase), self._hasher)
        with self._writing() as connection:
            sql = "INSERT OR IGNORE INTO kept (name, value) VALUES ('passphrase', ?)"
            return connection.execute(sql, (kept,)).rowcount == 1

    def matches(self, passphrase: str) -> bool:
        """Return whether this is the passphrase; takes a while by design, one at a time."""
        rows = self._found("SELECT value FROM kept WHERE name = 'passphrase'")
        return bool(rows) and fits(passphrase, str(rows[0][0]), self._hasher)

    def begin(self, browser: str, now_at: datetime) -> str:
        """Begin a session and return its secret, which is kept nowhere; the longest unseen of too many end.

        Args:
            browser: what it is, in plain words.
            now_at: the present, aware.
        """
        secret, now_us = secrets.token_urlsafe(SECRET_BYTES), us_of(aware(now_at))
        with self._writing() as connection:
            row = (id_of(secret), now_us, now_us, browser)
            connection.execute("INSERT INTO sessions (id, made_us, seen_us, browser) VALUES (?, ?, ?, ?)", row)
            connection.execute(
                "DELETE FROM sessions WHERE id <> ? AND id NOT IN"
                " (SELECT id FROM sessions ORDER BY seen_us DESC LIMIT ?)",
                (id_of(secret), MOST_SESSIONS),
            )
        return secret

    def session(self, secret: str, now_at: datetime) -> Session | None:
        """Return the session that a secret belongs to, or None if there is none or it has ended."""
        return self.session_of(id_of(secret), now_at)

    def session_of(self, session_id: str, now_at: datetime) -> Session | None:
        """Return the session of an id, or None if there is none or it has ended."""
        rows = self._found("SELECT id, made_us, seen_us, browser FROM sessions WHERE id = ?", (session_id,))
        found = next(map(session_from, rows), None)
        return None if found is None or found.over(now_at) else found

    def seen(self, session: Session, now_at: datetime) -> None:
        """Write down that a session was seen, and forget those that have ended."""
        with self._writing() as connection:
            connection.execute("UPDATE sessions SET seen_us = ? WHERE id = ?", (us_of(now_at), session.id))
            ended = (us_of(now_at - IDLE), us_of(now_at - LASTING))
            connection.execute("DELETE FROM sessions WHERE seen_us < ? OR made_us < ?", ended)

    def sessions(self, now_at: datetime) -> tuple[Session, ...]:
        """Return the sessions that go on, the last seen first."""
        rows = self._found("SELECT id, made_us, seen_us, browser FROM sessions ORDER BY seen_us DESC, made_us DESC, id")
        return tuple(session for session in map(session_from, rows) if not session.over(now_at))

    def end(self, session_id: str) -> None:
        """End a session; it does not matter whether there is one."""
        with self._writing() as connection:
            connection.execute("DELETE FROM sessions WHERE id = ?", (session_id,))

    def end_others(self, session_id: str) -> None:
        """End every session but one."""
        with self._writing() as connection:
            connection.execute("DELETE FROM sessions WHERE id <> ?", (session_id,))

    def make_token(self, name: str, now_at: datetime) -> str:
        """Make a token for a program and return its secret, which is kept nowhere.

        Args:
            name: what uses it; at most 40 signs.
            now_at: the present, aware.

        Raises:
            AccessError: the name is empty, too long or taken, or there are too many tokens.
        """
        secret = secrets.token_urlsafe(SECRET_BYTES)
        with self._writing() as connection:
            self._check_name(name)
            row = (id_of(secret), name.strip(), us_of(aware(now_at)))
            connection.execute("INSERT INTO tokens (id, name, made_us) VALUES (?, ?, ?)", row)
        return secret

    def _check_name(self, name: str) -> None:
        names = [token.name for token in self.tokens()]
        if not 0 < len(name.strip()) <= 40 or not name.isprintable():
            raise AccessError(f"{name!r} is no name for a token", "Give what uses it, in at most 40 signs.")
        if name.strip() in names:
            raise AccessError(f"there is a token called {name.strip()}", "Give another name, or end that one first.")
        if len(names) >= MOST_TOKENS:
            raise AccessError(f"there are {len(names)} tokens already", "End those that nothing uses any more.")

    def token(self, secret: str) -> Token | None:
        """Return the token of a secret, or None."""
        rows = self._found("SELECT name, made_us, used_us FROM tokens WHERE id = ?", (id_of(secret),))
        return next(map(token_from, rows), None)

    def used(self, token: Token, now_at: datetime) -> None:
        """Write down that a token was used."""
        with self._writing() as connection:
            connection.execute("UPDATE tokens SET used_us = ? WHERE name = ?", (us_of(now_at), token.name))

    def tokens(self) -> tuple[Token, ...]:
        """Return every token, by name."""
        return tuple(map(token_from, self._found("SELECT name, made_us, used_us FROM tokens ORDER BY name")))

    def end_token(self, name: str) -> None:
        """Let a token open nothing any more.

        Raises:
            AccessError: there is none of that name.
        """
        with self._writing() as connection:
            if connection.execute("DELETE FROM tokens WHERE name = ?", (name.strip(),)).rowcount == 0:
                raise AccessError(
                    f"there is no token called {name}", "See them: jarside token list.", "See them: Access."
                )

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._lock, writing(self._connection, self._path):
            yield self._connection

    def _found(self, sql: str, values: tuple[str, ...] = ()) -> list[tuple[Any, ...]]:
        with self._lock, plainly(self._path):
            return self._connection.execute(sql, values).fetchall()
