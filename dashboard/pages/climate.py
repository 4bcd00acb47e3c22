"""Climate: the curves of the shelf, the same as a table, and as a file."""

from collections.abc import Callable, Iterable, Iterator
from itertools import islice

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from dashboard.charts import chart_steps
from dashboard.frame import Frame
from dashboard.kept import Kept
from dashboard.pages.area import Area
from dashboard.views.climate import ClimateView, climate_view
from dashboard.views.spans import Span, Window, window
from station.domain.dates import day_from
from station.errors import JarsideError
from station.store.log_files import log_lines

MOST_ALERTS = 400
"""So many are drawn at most: four a day in a season."""
LINES_AT_ONCE = 1000


class ClimatePages(Area):
    """The curves."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._kept = Kept(frame.desk.books.mark)

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [
            Route("/climate", self.climate),
            Route("/climate.csv", self.log),
            Route("/climate/steps", self.steps),
        ]

    def climate(self, request: Request) -> Response:
        """A day, a week, a month or a season."""

        def page(shown: Window) -> Response:
            part = self._kept.get(shown, lambda: self._drawn(shown))
            return self._frame.filled(request, "climate", shown=shown, part=part, spans=tuple(Span))

        return self._asked(request, page)

    def steps(self, request: Request) -> Response:
        """What the charts' read-out says, step by step."""

        def said(shown: Window) -> Response:
            charts = self._view(shown).charts
            return JSONResponse({one.key: [[step.x, step.text] for step in chart_steps(one)] for one in charts})

        return self._asked(request, said)

    def log(self, request: Request) -> Response:
        """The readings of the stretch as a log file."""
        return self._asked(request, self._file)

    def _file(self, shown: Window) -> Response:
        readings = self._desk.books.shelf.readings(shown.since_at, shown.until_at)
        last = shown.until_at.astimezone(self._desk.manner.zone).date() if shown.until is None else shown.until
        name = f"jarside-{self._desk.settings.station}-{shown.span}-{last}.csv"
        return StreamingResponse(
            _chunks(log_lines(readings)),
            media_type="text/csv",
            headers={"content-disposition": f'attachment; filename="{name}"'},
        )

    def _asked(self, request: Request, answer: Callable[[Window], Response]) -> Response:
        """Answer about the stretch that is asked for, or say that there is no such one."""
        asked = request.query_params.get("span", "")
        span = Span(asked) if asked in tuple(Span) else Span.DAY
        try:
            until = day_from(typed) if (typed := request.query_params.get("until", "")) else None
        except JarsideError as error:
            return self._frame.refused(request, 422, error)
        return answer(window(span, until, self._desk.now(), self._desk.manner.zone))

    def _drawn(self, shown: Window) -> Markup:
        return self._frame.part("climate_shown", view=self._view(shown), shown=shown)

    def _view(self, shown: Window) -> ClimateView:
        books, manner = self._desk.books, self._desk.manner
        since_at, until_at = shown.since_at, shown.until_at
        jars = books.jars()
        with books.shelf.together() as shelf:
            return climate_view(
                shown,
                shelf.steps(shown.steps_since_at, until_at, shown.span.step_s),
                shelf.summed(shown.edges(manner.zone)),
                shelf.alerts_within(since_at, until_at, MOST_ALERTS),
                jars,
                manner,
            )


def _chunks(lines: Iterable[str]) -> Iterator[str]:
    """Yield many lines at a time: each piece of an answer is a step of its own for the server."""
    rest = iter(lines)
    while chunk := "".join(islice(rest, LINES_AT_ONCE)):
        yield chunk
