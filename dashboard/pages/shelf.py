"""The first page: the shelf itself."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.frame import Frame
from dashboard.records import Records
from dashboard.views.shelf import Doings, shelf_view, still_shown


class ShelfPages:
    """The shelf, its jars, and what is to be done."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._desk = frame.desk
        self._records = Records(frame.desk.books)

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/", self.shelf)]

    def shelf(self, request: Request) -> Response:
        """The first page."""
        now_at, books = self._desk.now(), self._desk.books
        jars = tuple([jar for jar in books.jars() if still_shown(jar, now_at)])
        records = self._records
        view = shelf_view(
            books.present(jars), jars, now_at, self._desk.manner, Doings(records.rounds(), records.trials())
        )
        return self._frame.filled(request, "shelf", view=view)
