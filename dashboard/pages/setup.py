"""Set-up: how the station is, its corrections, ways and backups, and that it was moved."""

from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import BaseRoute, Route

from dashboard.backups import KEPT, archive, archives, saved
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.health import health_of
from dashboard.pages.area import Area
from dashboard.settable import settings_now, waiting
from dashboard.views.alerts import way_lines
from dashboard.views.settings import restart_command
from dashboard.views.setup import BackupLine, backup_line, setup_view
from station.domain.moments import moment_text
from station.errors import JarsideError
from station.store.shelf_moves import ShelfMoves


class SetUpPages(Area):
    """The set-up page."""

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
            view=setup_view(health_of(desk), desk.settings, settings_now(desk), desk.version, now_at, manner),
            ways=way_lines(desk.ways(), now_at),
            waiting=waiting(desk, manner.unit),
            restart=restart_command(desk.books.folder),
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
        """Save shelf log, notebook and what was set here to one checked file."""
        made = form.kept(lambda: saved(self._desk, token))
        return self.setup(request, form) if made is None else elsewhere("/setup#backups")

    def download(self, request: Request) -> Response:
        """A backup, as a file."""
        found = archive(self._desk.books.folder, request.path_params["name"])
        return FileResponse(found, media_type="application/zip", filename=found.name)

    def moved(self, request: Request, form: Form, token: str) -> Response:
        """The station was put elsewhere."""
        if not form.ok:
            return self.setup(request, form)
        now_at = self._desk.now()
        with self._desk.books.writing() as notebook:
            ShelfMoves(notebook).move(now_at, now_at=now_at, token=token)
        return elsewhere("/setup#place")

    def _backups(self) -> tuple[BackupLine, ...]:
        return tuple(backup_line(path, self._desk.manner) for path in archives(self._desk.books.folder))
