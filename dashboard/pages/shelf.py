"""The first page: the shelf itself."""

from datetime import datetime

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.pages.area import Area
from dashboard.views.alerts import BRIEFLY
from dashboard.views.shelf import Doings, shelf_view, still_shown
from station.domain.coming_sun import ComingSun
from station.store.sun_seen import sun_seen


class ShelfPages(Area):
    """The shelf, its jars, and what is to be done."""

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/", self.shelf)]

    def shelf(self, request: Request) -> Response:
        """The first page."""
        now_at, books = self._desk.now(), self._desk.books
        jars = tuple([jar for jar in books.jars() if still_shown(jar, now_at)])
        records = self._records
        sun, answers = self._sun(now_at), records.answers()
        doings = Doings(records.rounds(), records.trials(), sun, answers, records.feedings())
        view = shelf_view(books.present(jars), jars, now_at, self._desk.manner, doings)
        return self._frame.filled(
            request, "shelf", view=view, choices=BRIEFLY, sensors=bool(self._desk.settings.sensors)
        )

    def _sun(self, now_at: datetime) -> ComingSun | None:
        """Return what the log tells of the sun; None where the place is not known."""
        manner, books = self._desk.manner, self._desk.books
        if manner.place is None:
            return None
        moved_at = self._records.shelf_moved_at()
        return sun_seen(books.shelf, manner.place, manner.limits.sun_lx, now_at, manner.zone, moved_at)
