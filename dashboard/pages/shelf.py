"""The first page: the shelf itself."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.doings import shelf_shown
from dashboard.pages.area import Area
from dashboard.views.alerts import BRIEFLY


class ShelfPages(Area):
    """The shelf, its jars, and what is to be done."""

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/", self.shelf)]

    def shelf(self, request: Request) -> Response:
        """The first page."""
        view, sensors = shelf_shown(self._desk), bool(self._desk.settings.sensors)
        return self._frame.filled(request, "shelf", view=view, choices=BRIEFLY, sensors=sensors)
