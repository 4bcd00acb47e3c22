"""Climate: the curves of the shelf."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.frame import Frame
from dashboard.views.climate import Span, climate_view


class ClimatePages:
    """The curves."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._desk = frame.desk

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/climate", self.climate)]

    def climate(self, request: Request) -> Response:
        """The last day or week."""
        span = Span.WEEK if request.query_params.get("span") == Span.WEEK else Span.DAY
        now_at, books = self._desk.now(), self._desk.books
        jars = books.jars()
        since_at = now_at - span.length
        with books.shelf.together() as shelf:
            view = climate_view(
                span,
                now_at,
                shelf.series(since_at, now_at, span.buckets),
                shelf.hours(since_at, now_at),
                shelf.alerts(since_at=since_at),
                jars,
                self._desk.manner,
            )
        return self._frame.filled(request, "climate", view=view, spans=tuple(Span))
