"""What set-up asks of files: the station's health."""

import shutil
from datetime import timedelta
from pathlib import Path

from dashboard.books import NOTEBOOK, SHELF_LOG
from dashboard.desk import Desk
from dashboard.views.setup import Card, Health
from station.domain.corrections import Correction
from station.store.corrections import Corrections
from station.store.notebook import Notebook


def health_of(desk: Desk) -> Health:
    """Return what is known of the station's health, with the samples of the last day."""
    books, since_at = desk.books, desk.now() - timedelta(days=1)
    none: tuple[Correction, ...] = ()
    corrections = books.remembered(_corrections, none)
    with books.shelf.together() as shelf:
        return Health(shelf.heartbeat(), shelf.latest(), shelf.samples(since_at), _card(books.folder), corrections)


def _corrections(notebook: Notebook) -> tuple[Correction, ...]:
    return Corrections(notebook).holding()


def free_bytes(folder: Path) -> int | None:
    """Return how much room is left where a folder lies, bytes; None where that cannot be told."""
    try:
        return shutil.disk_usage(folder).free
    except OSError:
        return None


def _card(folder: Path) -> Card:
    return Card(free_bytes(folder), _size(folder / SHELF_LOG), _size(folder / NOTEBOOK))


def _size(path: Path) -> int:
    return sum(one.stat().st_size for one in (path, path.with_name(f"{path.name}-wal")) if one.is_file())
