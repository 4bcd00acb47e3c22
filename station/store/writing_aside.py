"""Files that appear whole or not at all: written beside their place, made durable, then renamed."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from station.errors import StoreError

_DATABASE = b"SQLite format 3\0"
"""With this a database file begins."""


@contextmanager
def written_aside(path: Path, *, overwrite: bool = False) -> Iterator[Path]:
    """Lend the path of an empty file in the same folder, which becomes `path` when the block ends well.

    Args:
        path: the file to make.
        overwrite: whether a file that is there already may be replaced.

    Raises:
        StoreError: there is such a file already, or the folder cannot be written. A database is never replaced: it is
            what is to be saved, named where its copy was to be named. Nor is what is no file: a folder, a device.
    """
    try:
        _spare_a_database(path)
        if path.exists() and not path.is_file():
            raise StoreError(f"{path} is no file", "Give another name.")
        if path.exists() and not overwrite:
            raise StoreError(
                f"{path} is there already", "Give another name, or overwrite it with --force.", "Try again in a minute."
            )
        with tempfile.TemporaryDirectory(prefix=f".{path.name}-", dir=path.parent) as folder:
            aside = Path(folder, path.name)
            aside.touch()
            yield aside
            if path.exists() and path.stat().st_mode != aside.stat().st_mode:  # on a stick nobody may change them
                shutil.copymode(path, aside)  # who could not read the one before cannot read this one
            make_durable(aside)
            aside.replace(path)
        make_durable(path.parent)
    except OSError as error:
        raise StoreError(
            f"{path} cannot be written: {error.strerror}", f"Check that {path.parent} is there, writable and not full."
        ) from error


def _spare_a_database(path: Path) -> None:
    if path.is_file():
        with path.open("rb") as stream:
            if stream.read(len(_DATABASE)) == _DATABASE:
                raise StoreError(f"{path} is a database, and stays one", "Give another name.")


def make_durable(path: Path) -> None:
    """Wait until a file, or the names in a folder, have reached the disk."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
