"""One writer of the shelf log: older SQLite can damage a WAL that two programs write or checkpoint at once."""

import fcntl
import os
from pathlib import Path
from typing import IO

from station.errors import StoreError
from station.store.connection import check_folder


def locked(path: Path) -> IO[str]:
    """Become the only writer of `path`, until the returned file is closed or the process ends, however it ends.

    Raises:
        StoreError: another program is, or the folder is missing or cannot be written.
    """
    check_folder(path.parent)
    name = path.with_name(path.name + "-writer")
    try:
        lock = name.open("a+", encoding="ascii")
    except OSError as error:
        raise StoreError(
            f"{name} cannot be written: {error.strerror}", f"Make {path.parent} writable for this user."
        ) from error
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        _sign(lock)
    except BlockingIOError as error:
        lock.seek(0)
        owner = lock.read().strip()
        lock.close()
        who = f" (process {owner})" if owner else ""  # it may have begun this very moment, and not signed yet
        raise StoreError(f"{path} is being written by another program{who}", "End that program first.") from error
    return lock


def _sign(lock: IO[str]) -> None:
    lock.truncate(0)
    lock.write(f"{os.getpid()}\n")
    lock.flush()
