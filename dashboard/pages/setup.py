"""Set-up: how the station is, its corrections, ways and backups, and that it was moved."""

import re
import shutil
from datetime import timedelta
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import BaseRoute, Route

from dashboard.books import NOTEBOOK, SHELF_LOG
from dashboard.forms import Form
from dashboard.frame import Frame, elsewhere
from dashboard.pages.area import Area
from dashboard.views.alerts import way_lines
from dashboard.views.setup import BackupLine, Card, Change, Health, backup_line, changes, setup_view
from station.domain.corrections import Correction
from station.domain.sentences import moment_text
from station.errors import JarsideError
from station.store.backup import back_up
from station.store.corrections import Corrections
from station.store.notebook import Notebook
from station.store.shelf_moves import ShelfMoves

BACKUPS = "backups"
"""Where backups lie in the data folder."""
KEPT = 5
"""So many backups are kept; each new one takes the place of the oldest."""
_NAME = re.compile(r"jarside-\d{4}-\d{2}-\d{2}-\d{6}\.zip")


class SetUpPages(Area):
    """The set-up page."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._saved_by = ""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [
            *self._frame.form_route("/setup", self.setup, self.refused),
            self._frame.action("/setup/backup", self.back_up),
            self._frame.action("/setup/moved", self.moved),
            Route("/setup/backups/{name}", self.download),
        ]

    def setup(self, request: Request, form: Form) -> Response:
        """How everything is."""
        desk = self._desk
        now_at, manner = desk.now(), desk.manner
        moved_at = self._records.shelf_moved_at()
        return self._frame.filled(
            request,
            "setup",
            form.status,
            form=form,
            view=setup_view(self._health(), desk.settings, desk.version, now_at, manner),
            ways=way_lines(desk.ways(), now_at),
            waiting=self._waiting(),
            backups=self._backups(),
            kept=KEPT,
            moved="" if moved_at is None else moment_text(moved_at, manner.zone),
            settings=desk.settings,
        )

    def refused(self, request: Request, form: Form, _: str) -> Response:
        """Nothing is sent to this page itself."""
        form.problem = form.problem or JarsideError("this form leads nowhere", "Use one of those below.")
        return self.setup(request, form)

    def back_up(self, request: Request, form: Form, token: str) -> Response:
        """Save shelf log and notebook to one checked file."""
        if not form.ok:
            return self.setup(request, form)
        if token == self._saved_by:
            return elsewhere("/setup#backups")
        folder = self._desk.books.folder / BACKUPS
        name = f"jarside-{self._desk.now().astimezone(self._desk.manner.zone):%Y-%m-%d-%H%M%S}.zip"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            back_up(self._desk.books.folder, folder / name, overwrite=True)
        except JarsideError as error:
            form.problem = error
            return self.setup(request, form)
        self._saved_by = token
        for old in self._archives()[KEPT:]:
            old.unlink(missing_ok=True)
        return elsewhere("/setup#backups")

    def download(self, request: Request) -> Response:
        """A backup, as a file."""
        name = request.path_params["name"]
        found = next((path for path in self._archives() if path.name == name), None)
        if found is None:
            raise HTTPException(404)
        return FileResponse(found, media_type="application/zip", filename=found.name)

    def moved(self, request: Request, form: Form, token: str) -> Response:
        """The station was put elsewhere."""
        if not form.ok:
            return self.setup(request, form)
        now_at = self._desk.now()
        with self._desk.books.writing() as notebook:
            ShelfMoves(notebook).move(now_at, now_at=now_at, token=token)
        return elsewhere("/setup#place")

    def _health(self) -> Health:
        books, since_at = self._desk.books, self._desk.now() - timedelta(days=1)
        none: tuple[Correction, ...] = ()
        corrections = books.remembered(_corrections, none)
        with books.shelf.together() as shelf:
            return Health(shelf.heartbeat(), shelf.latest(), shelf.samples(since_at), self._card(), corrections)

    def _card(self) -> Card:
        folder = self._desk.books.folder
        try:
            free = shutil.disk_usage(folder).free
        except OSError:
            free = None
        return Card(free, _size(folder / SHELF_LOG), _size(folder / NOTEBOOK))

    def _waiting(self) -> tuple[Change, ...]:
        """What was set and is not in use yet; nothing where settings cannot be read anew."""
        read = self._desk.lent.settings
        if read is None:
            return ()
        try:
            return changes(self._desk.settings, read(True))
        except JarsideError as error:
            return (Change(error.what_in(self._desk.manner.zone), "", error.page_remedy),)

    def _archives(self) -> list[Path]:
        """Return the backups that were made here, the newest first."""
        folder = self._desk.books.folder / BACKUPS
        found = folder.iterdir() if folder.is_dir() else ()
        return sorted((path for path in found if _NAME.fullmatch(path.name)), reverse=True)

    def _backups(self) -> tuple[BackupLine, ...]:
        return tuple(backup_line(path, self._desk.manner) for path in self._archives())


def _size(path: Path) -> int:
    return sum(one.stat().st_size for one in (path, path.with_name(f"{path.name}-wal")) if one.is_file())


def _corrections(notebook: Notebook) -> tuple[Correction, ...]:
    return Corrections(notebook).holding()
