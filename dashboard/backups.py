"""The backups made here: kept in the data folder, the latest few."""

from pathlib import Path

from dashboard.backup_names import NAME, name_at
from dashboard.desk import Desk
from station.errors import StoreError, UnknownNameError
from station.store.backup import back_up

BACKUPS = "backups"
"""Where they lie in the data folder."""
KEPT = 5
"""So many are kept; each new one takes the place of the oldest by name."""


def archives(folder: Path) -> list[Path]:
    """Return the backups that were made here, the newest first.

    Args:
        folder: the data folder.
    """
    found = (folder / BACKUPS).glob("*.zip")
    return sorted((path for path in found if NAME.fullmatch(path.name) and path.is_file()), reverse=True)


def archive(folder: Path, name: str) -> Path:
    """Return one of the backups.

    Raises:
        UnknownNameError: there is none of that name.
    """
    found = next((path for path in archives(folder) if path.name == name), None)
    if found is None:
        raise UnknownNameError(
            f"there is no backup {name}", "See them: GET /api/set-up/backups.", "See what is kept: Set-up."
        )
    return found


def saved(desk: Desk, token: str) -> Path:
    """Save shelf log, notebook and what was set here to one checked file, once for each token, and let the oldest go.

    Args:
        desk: whose files they are.
        token: unique for one form or one asking; with "" a new one is always made.

    Raises:
        JarsideError: there is nothing to save.
        StoreError: a file is damaged, or the backup cannot be written.
    """
    return desk.backups.of(token, lambda: _saved(desk))


def _saved(desk: Desk) -> Path:
    folder = desk.books.folder
    path = folder / BACKUPS / name_at(desk.now(), desk.manner.zone)
    _make(path.parent)
    back_up(folder, path, overwrite=True)
    others = [one for one in archives(folder) if one != path]  # after a clock that ran ahead, names lie
    for old in others[KEPT - 1 :]:
        old.unlink(missing_ok=True)
    return path


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"{folder} cannot be made: {error.strerror}", f"Check that {folder.parent} is writable and not full."
        ) from error
