"""Opening a database file, the one write transaction, and SQLite's errors in plain words."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from station.errors import StoreError

BUSY_S = 5.0
"""How long to wait for another program's write."""


def connect(
    path: Path, *, mode: str = "rwc", factory: type[sqlite3.Connection] = sqlite3.Connection
) -> sqlite3.Connection:
    """Open a database file; transactions are begun only by `writing`.

    Args:
        path: the file.
        mode: `ro` to read, `rw` to write, `rwc` to write and create.
        factory: the kind of connection; tests hand in one that fails.

    Raises:
        StoreError: the folder is missing or the file cannot be opened.
    """
    check_folder(path.parent)
    with plainly(path):
        # Web frameworks open, use and close a connection in different threads, one after the other.
        return sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}",
            uri=True,
            timeout=BUSY_S,
            isolation_level=None,
            check_same_thread=False,
            factory=factory,
        )


def connect_to_read(path: Path) -> sqlite3.Connection:
    """Open a database file that is only read, even where nothing can be written beside it.

    Raises:
        StoreError: it cannot be opened.
    """
    connection = connect(path, mode="ro")
    try:
        connection.execute("PRAGMA user_version").fetchone()
    except sqlite3.Error as error:  # any other than these comes again with the first question
        if error.sqlite_errorcode in _NOTHING_BESIDE and not _wal(path).exists():
            connection.close()
            return connect(path, mode="ro&immutable=1")
    return connection


_NOTHING_BESIDE = (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY_DIRECTORY)
"""What SQLite says of a disk that is read-only, and of a folder that only others may write."""


def _wal(path: Path) -> Path:
    return path.with_name(path.name + "-wal")


def check_folder(folder: Path) -> None:
    """Raise a StoreError if the data folder is not there, or is something else."""
    if not folder.exists():
        raise StoreError(f"the data folder {folder} does not exist", f"Create it: mkdir -p {folder}")
    if not folder.is_dir():
        raise StoreError(f"the data folder {folder} is not a folder", "Name another with --data.")


@contextmanager
def plainly(path: Path) -> Iterator[None]:
    """Turn an error of SQLite about `path` into a StoreError."""
    try:
        yield
    except sqlite3.Error as error:
        raise store_error(path, error) from error


@contextmanager
def writing(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """Hold a write transaction: all of it is kept, or nothing.

    Raises:
        StoreError: nothing was kept, or (after a failed commit) that is not known.
    """
    with plainly(path):
        _rolled_back(connection)
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            connection.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):
                _rolled_back(connection)
            raise


def _rolled_back(connection: sqlite3.Connection) -> None:
    if connection.in_transaction:
        connection.execute("ROLLBACK")


def store_error(path: Path, error: sqlite3.Error) -> StoreError:
    """Say in plain words what SQLite could not do with `path`, and what to do about it."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    what, remedy = _PLAIN.get(code, (f"{{path}} cannot be used: {error}", "Restore a backup: jarside restore."))
    return StoreError(what.format(path=path, error=error), remedy.format(folder=path.parent))


_PLAIN = {
    sqlite3.SQLITE_FULL: ("{path} cannot be written: the disk is full", "Free some space in {folder}."),
    sqlite3.SQLITE_READONLY: ("{path} cannot be written", "Make {folder} and what is in it writable for this user."),
    sqlite3.SQLITE_CANTOPEN: (
        "{path} cannot be opened",
        "Check that {folder} is a folder this user may read and write.",
    ),
    sqlite3.SQLITE_PERM: ("{path} may not be opened", "Make {folder} and what is in it writable for this user."),
    sqlite3.SQLITE_NOTADB: ("{path} is not a database", "Move it away, or restore a backup: jarside restore."),
    sqlite3.SQLITE_CORRUPT: ("{path} is damaged: {error}", "Restore a backup: jarside restore."),
    sqlite3.SQLITE_BUSY: ("{path} is in use by another program", "End the other program, or try again in a moment."),
    sqlite3.SQLITE_IOERR: (
        "{path} cannot be read or written: {error}",
        "Check the memory card and its free space; if it is failing, replace it and restore a backup.",
    ),
}
