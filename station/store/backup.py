"""A backup: database files and what was set on the pages in one archive, and the way back.

It is checked and durable before it gets its name.
"""

import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from station.errors import JarsideError, SettingsError, StoreError
from station.settings_file import SET_UP, check_set_up
from station.store.connection import connect_to_read, plainly
from station.store.migrations import NOTEBOOK, SHELF_LOG, FileKind, identify
from station.store.writer_lock import locked
from station.store.writing_aside import make_durable, written_aside

FILES: dict[str, FileKind] = {"notebook.db": NOTEBOOK, "shelf.db": SHELF_LOG}
SAVED = (*FILES, SET_UP)
"""What a backup may hold; what is not in one is left as it is when that is restored."""
_DAMAGED = (zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, EOFError, RuntimeError, ValueError)
"""What an archive with turned bits makes of its reader; RuntimeError where one says that it is encrypted."""
_BESIDE = ("-wal", "-shm", "-journal")


def back_up(folder: Path, archive: Path, *, overwrite: bool = False) -> tuple[str, ...]:
    """Copy the database files of a data folder and its set-up into one archive, while the station goes on.

    Args:
        folder: the data folder.
        archive: the zip file to make.
        overwrite: whether an archive of that name may be replaced.

    Returns:
        The names of the files in it.

    Raises:
        JarsideError: there is nothing to save, or the set-up cannot be read.
        StoreError: a file is damaged or not ours, or the archive is there already or cannot be written.
    """
    names = tuple(name for name in SAVED if (folder / name).is_file())
    if not names:
        raise JarsideError(
            f"{folder} holds nothing to save",
            "Give the data folder: --data FOLDER.",
            "Start the station, or pack a jar first.",
        )
    with written_aside(archive, overwrite=overwrite) as aside:
        with zipfile.ZipFile(aside, "w", zipfile.ZIP_DEFLATED) as bundle:
            for name in names:
                copy = aside.with_name(f"{name} of {aside.name}")  # the archive may itself be called like one of them
                _copy(folder / name, copy)
                bundle.write(copy, name)
                copy.unlink()
        with _bundle(aside) as bundle:
            _check_archive(bundle)
    return names


def _copy(source: Path, target: Path) -> None:
    if source.name == SET_UP:
        check_set_up(source)
        shutil.copyfile(source, target)
        return
    kind = FILES[source.name]
    with closing(connect_to_read(source)) as connection, plainly(source):
        identify(connection, source, kind)
        connection.execute("VACUUM INTO ?", (str(target),))
    check(target, kind)


def check(path: Path, kind: FileKind) -> None:
    """Look through a whole database file.

    Raises:
        StoreError: it is damaged, not of that kind, or newer than this program.
    """
    with closing(connect_to_read(path)) as connection, plainly(path):
        identify(connection, path, kind)
        (verdict,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    if verdict != "ok":
        raise StoreError(f"{path} is damaged: {verdict}", "Restore an earlier backup: jarside restore.")


def _check_archive(bundle: zipfile.ZipFile) -> None:
    """Read an archive through before anything is made of it: what goes wrong on the way is its own fault."""
    try:
        bad = bundle.testzip()
    except (OSError, *_DAMAGED) as error:
        why = str(error) or "it ends too early"
        raise StoreError(f"{bundle.filename} is damaged: {why}", "Use another backup.") from error
    if bad:
        raise StoreError(f"{bundle.filename} is damaged: {bad} in it cannot be read", "Use another backup.")


@contextmanager
def _bundle(path: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(path) as bundle:
            yield bundle
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}", "Check the name and its permissions.") from error
    except _DAMAGED as error:
        raise StoreError(f"{path} is not a backup: {error}", "Give a file that jarside backup made.") from error


def restore(archive: Path, folder: Path, *, overwrite: bool = False) -> tuple[str, ...]:
    """Put the files of a backup into a data folder; the station and the dashboard must not run meanwhile.

    Args:
        archive: a file that `back_up` made.
        folder: the data folder.
        overwrite: whether files that are there already may be replaced.

    Returns:
        The names of the files restored.

    Raises:
        StoreError: the archive is not a backup, is damaged or newer than this program; files are there already;
            the station is running; or the folder cannot be written. Nothing was changed then.
    """
    with _bundle(archive) as bundle:
        names = tuple(name for name in SAVED if name in bundle.namelist())
        if not names:
            raise StoreError(f"{archive} is not a backup: no database in it", "Give a file that jarside backup made.")
        _refuse_to_overwrite(folder, names, overwrite=overwrite)
        _check_archive(bundle)
        with closing(locked(folder / "shelf.db")), _beside(folder) as aside:
            for name in names:
                _extract(bundle, name, aside)
            for name in names:
                _replace(aside / name, folder / name)
    return names


def _refuse_to_overwrite(folder: Path, names: tuple[str, ...], *, overwrite: bool) -> None:
    there = [name for name in names if (folder / name).exists()]
    if there and not overwrite:
        raise StoreError(
            f"{folder} holds {named(there)} already",
            "Overwrite with --force, or give another folder: --data FOLDER.",
        )


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    try:
        with tempfile.TemporaryDirectory(prefix=".restore-", dir=folder) as aside:
            yield Path(aside)
        make_durable(folder)
    except OSError as error:
        raise StoreError(
            f"{folder} cannot be written: {error.strerror}", "Check that it is writable and not full."
        ) from error


def _extract(bundle: zipfile.ZipFile, name: str, aside: Path) -> None:
    bundle.extract(name, aside)
    if name == SET_UP:
        _check_saved_set_up(aside / name, bundle)
    else:
        check(aside / name, FILES[name])
    make_durable(aside / name)


def _check_saved_set_up(path: Path, bundle: zipfile.ZipFile) -> None:
    try:
        check_set_up(path)
    except SettingsError as error:
        why = error.what.removeprefix(f"{path}: ")
        raise StoreError(f"{bundle.filename}: {SET_UP} in it: {why}", "Use another backup.") from error


def named(names: Sequence[str]) -> str:
    """Return names of files as they are said: "a, b and c"."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def _replace(new: Path, old: Path) -> None:
    """Rename `new` over `old`; what SQLite left beside the old file must not be applied to the new one."""
    for suffix in _BESIDE:
        old.with_name(old.name + suffix).unlink(missing_ok=True)
    make_durable(old.parent)
    new.replace(old)
