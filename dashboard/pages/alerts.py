"""Alerts: open, past, and what people did about them."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.frame import Frame
from dashboard.views.alerts import alerts_view


class AlertPages:
    """The alerts."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._desk = frame.desk

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/alerts", self.alerts)]

    def alerts(self, request: Request) -> Response:
        """Open and past alerts."""
        books = self._desk.books
        plants = {jar.id: jar.plant for jar in books.jars()}
        view = alerts_view(books.shelf.alerts(), plants, self._desk.now(), self._desk.manner)
        return self._frame.filled(request, "alerts", view=view)
