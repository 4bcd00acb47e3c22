"""What `access.db` holds: sessions and tokens as values, and the file made so that nobody else can read it."""

import os
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from station.errors import StoreError
from station.store.migrations import FileKind
from station.store.times import at_us

if TYPE_CHECKING:
    from sqlite_utils import Database

NAME = "access.db"
IDLE = timedelta(days=30)
"""A session that was not seen for so long has ended."""
LASTING = timedelta(days=180)
"""Every session ends after this long, however often it is seen."""
SEEN_EVERY = timedelta(hours=1)
"""When a session or a token was last seen is written at most so often: it costs the card a write."""
ID_SIGNS = 32


@dataclass(frozen=True, slots=True)
class Session:
    """One browser that was let in.

    Args:
        id: names it; whoever knows it cannot come in with it.
        made_at, seen_at: aware UTC; the latter to the hour.
        browser: in plain words.
    """

    id: str
    made_at: datetime
    seen_at: datetime
    browser: str

    def over(self, now_at: datetime) -> bool:
        """Return whether it has ended by itself."""
        return now_at - self.seen_at > IDLE or now_at - self.made_at > LASTING


@dataclass(frozen=True, slots=True)
class Token:
    """One program that is let in: its name, when the token was made and last used (to the hour)."""

    name: str
    made_at: datetime
    used_at: datetime | None


def _access_1(db: "Database") -> None:
    db.execute("CREATE TABLE kept (name TEXT PRIMARY KEY, value ANY NOT NULL) STRICT, WITHOUT ROWID")
    db.execute(
        "CREATE TABLE sessions (id TEXT PRIMARY KEY, made_us INTEGER NOT NULL, seen_us INTEGER NOT NULL,"
        " browser TEXT NOT NULL) STRICT, WITHOUT ROWID"
    )
    db.execute(
        "CREATE TABLE tokens (id TEXT PRIMARY KEY, name TEXT NOT NULL UNIQUE, made_us INTEGER NOT NULL,"
        " used_us INTEGER) STRICT, WITHOUT ROWID"
    )


ACCESS = FileKind("file of access", 0x4A415241, (_access_1,))


def id_of(secret: str) -> str:
    """Return what is kept of a secret. It is 256 random bits, so a quick hash is enough: there is nothing to guess."""
    return sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()[:ID_SIGNS]


def make_private(path: Path) -> None:
    """Make the file before SQLite does, so that there is no moment at which others could read it.

    Raises:
        StoreError: it cannot be made or opened.
    """
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
        if path.stat().st_mode & 0o077:
            path.chmod(0o600)
    except OSError as error:
        raise StoreError(
            f"{path} cannot be opened: {error.strerror}",
            f"Make {path.parent} and what is in it writable for this user.",
        ) from error


def session_from(row: tuple[object, ...]) -> Session:
    """Return a session from its row."""
    name, made_us, seen_us, browser = row
    return Session(str(name), _moment(made_us), _moment(seen_us), str(browser))


def token_from(row: tuple[object, ...]) -> Token:
    """Return a token from its row: name, made, used."""
    name, made_us, used_us = row
    return Token(str(name), _moment(made_us), None if used_us is None else _moment(used_us))


def _moment(us: object) -> datetime:
    assert isinstance(us, int)  # noqa: S101 - a STRICT table
    return at_us(us)
