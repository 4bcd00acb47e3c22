"""The pages: each asks a few questions of the books, lets a view answer, and fills a template."""

import re
from collections.abc import Callable
from pathlib import Path
from zlib import crc32

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from dashboard.charts import Chart, chart_svg
from dashboard.desk import Desk
from dashboard.jar_drawing import JarPicture, jar_svg
from dashboard.shelf_drawing import BEAM, EMPTY_PLACE, Daylight, station_svg, window_svg
from dashboard.views.alerts import alerts_view
from dashboard.views.climate import Span, climate_view
from dashboard.views.jars import jar_card, jar_view
from dashboard.views.shelf import shelf_view, still_shown

TEMPLATES = Path(__file__).parent / "templates"
STATIC = Path(__file__).parent / "static"
MOST_JARS = 60
"""The list of jars shows this many, the latest first."""
JAR_BUCKETS = 160


class Pages:
    """The pages over one desk, their templates compiled once."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._books = desk.books
        self._environment = _environment(desk)
        names = ("shelf", "jars", "jar", "climate", "alerts", "error")
        self._templates = {name: self._environment.get_template(f"{name}.html") for name in names}

    def routes(self) -> list[Route]:
        """Return what is served to people."""
        return [
            Route("/", self.shelf),
            Route("/jars", self.jars),
            Route("/jars/{name}", self.jar),
            Route("/climate", self.climate),
            Route("/alerts", self.alerts),
        ]

    def shelf(self, _: Request) -> Response:
        """The first page."""
        now_at = self._desk.now()
        jars = tuple([jar for jar in self._books.jars() if still_shown(jar, now_at)])
        view = shelf_view(self._books.present(jars), jars, now_at, self._desk.manner)
        return self._filled("shelf", view=view)

    def jars(self, _: Request) -> Response:
        """Every jar, the latest first."""
        now_at, jars = self._desk.now(), self._books.jars()
        with self._books.shelf.together() as shelf:
            shown = [(jar, shelf.outlook(jar.id)) for jar in jars[:MOST_JARS]]
        cards = [jar_card(jar, outlook, now_at, self._desk.manner) for jar, outlook in shown]
        return self._filled("jars", cards=cards, count=len(jars))

    def jar(self, request: Request) -> Response:
        """One jar."""
        now_at, jar = self._desk.now(), self._books.jar(request.path_params["name"])
        until_at = max(jar.off_shelf_at or now_at, jar.packed_at)
        with self._books.shelf.together() as shelf:
            view = jar_view(
                jar,
                shelf.outlook(jar.id),
                shelf.series(jar.packed_at, until_at, JAR_BUCKETS),
                shelf.alerts(since_at=jar.packed_at, until_at=until_at),
                now_at,
                self._desk.manner,
            )
        return self._filled("jar", view=view)

    def climate(self, request: Request) -> Response:
        """The last day or week."""
        span = Span.WEEK if request.query_params.get("span") == Span.WEEK else Span.DAY
        now_at, jars = self._desk.now(), self._books.jars()
        since_at = now_at - span.length
        with self._books.shelf.together() as shelf:
            view = climate_view(
                span,
                now_at,
                shelf.series(since_at, now_at, span.buckets),
                shelf.hours(since_at, now_at),
                shelf.alerts(since_at=since_at),
                jars,
                self._desk.manner,
            )
        return self._filled("climate", view=view, spans=tuple(Span))

    def alerts(self, _: Request) -> Response:
        """Open and past alerts."""
        plants = {jar.id: jar.plant for jar in self._books.jars()}
        view = alerts_view(self._books.shelf.alerts(), plants, self._desk.now(), self._desk.manner)
        return self._filled("alerts", view=view)

    def error(self, status: int, what: str, remedy: str) -> Response:
        """A page that says what went wrong and what to do."""
        return self._filled("error", status, what=what, remedy=remedy)

    def _filled(self, name: str, status: int = 200, **values: object) -> Response:
        return HTMLResponse(self._templates[name].render(page=name, **values), status)


def _environment(desk: Desk) -> Environment:
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        auto_reload=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(capitalize_first=lambda text: text[:1].upper() + text[1:], unbroken=unbroken)
    environment.globals.update(
        jar_svg=_marked(jar_svg, JarPicture),
        chart_svg=_marked(chart_svg, Chart),
        window_svg=lambda daylight, part: Markup(window_svg(Daylight(daylight), part)),  # noqa: S704 - our own drawing
        station_svg=_marked(station_svg, str),
        beam=Markup(BEAM),  # noqa: S704 - our own drawing
        empty_place=Markup(EMPTY_PLACE),  # noqa: S704 - our own drawing
        static=static_url,
        notice=desk.notice,
        station=desk.settings.station,
        version=desk.version,
    )
    return environment


def _marked(draw: Callable[..., str], kind: type) -> Callable[[object], Markup]:
    """Return a drawing function whose result a template puts in as it is; it escapes every text itself."""

    def drawn(of: object) -> Markup:
        assert isinstance(of, kind)  # noqa: S101
        return Markup(draw(of))  # noqa: S704

    return drawn


def unbroken(text: str) -> str:
    """Return a text in which numbers stay on one line with their unit, and days with their month."""
    return _PAIRS.sub("\u00a0", text).replace("warm-days", "warm\u2011days")


_PAIRS = re.compile(
    r"(?<=\d) (?=[°%]|lx\b|g\b|mL\b|h\b|warm-days|[A-Z][a-z]{2}\b)|(?<=[a-z]{2}) (?=\d{1,2} [A-Z][a-z]{2}\b)"
)


def static_url(name: str) -> str:
    """Return where a static file is, with a mark that changes with its content so that it may be kept for ever."""
    return _URLS[name]


_URLS = {
    path.name: f"/static/{path.name}?{crc32(path.read_bytes()):08x}" for path in STATIC.iterdir() if path.is_file()
}
