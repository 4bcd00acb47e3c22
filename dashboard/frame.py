"""The frame around every page: templates compiled once, what all of them may use, and how a page is answered."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from dashboard.amounts import UNITS
from dashboard.bottle_drawing import BottlePicture, bottle_svg
from dashboard.charts import Chart, chart_svg
from dashboard.desk import Desk
from dashboard.forms import Form, Marks, Posted, posted, session_of
from dashboard.germination_chart import GerminationChart, germination_svg
from dashboard.jar_drawing import JarPicture, jar_svg
from dashboard.shelf_drawing import BEAM, EMPTY_PLACE, Daylight, station_svg, window_svg
from station.errors import JarsideError

TEMPLATES = Path(__file__).parent / "templates"
STATIC = Path(__file__).parent / "static"


@dataclass(frozen=True, slots=True)
class Here:
    """Which page is looked at."""

    path: str

    def mark(self, href: str) -> str:
        """Return how a link of the navigation says that it leads here ("page"), or to what this belongs ("true")."""
        if href == self.path:
            return "page"
        within = _BELONGS.get(self.path, self.path)
        return "true" if href != "/" and f"{within}/".startswith(f"{href}/") else ""


_BELONGS = {"/replay": "/climate", "/survey": "/climate"}
"""Pages that are reached from another and stand beside it."""


class Frame:
    """What every page needs: the desk, the templates, and the marks of forms.

    Args:
        desk: settings, books and time.
        marks: makes the marks of forms.
    """

    def __init__(self, desk: Desk, marks: Marks) -> None:
        self.desk = desk
        self._marks = marks
        self._environment = _environment(desk)

    def filled(self, request: Request, name: str, status: int = 200, **values: object) -> Response:
        """Answer with a page.

        Args:
            request: what was asked.
            name: of the template, without its ending.
            status: of the answer; a form that comes back knows its own.
            values: what the template needs; `mark` is there for its forms.
        """
        mark = self._marks.new(session_of(request))
        here = Here(request.url.path)
        page = self._environment.get_template(f"{name}.html").render(page=name, here=here, mark=mark, **values)
        return HTMLResponse(page, status)

    def part(self, name: str, **values: object) -> Markup:
        """Return a part of a page, which a page then puts in as it is; it knows neither form nor session."""
        return Markup(self._environment.get_template(f"{name}.html").render(**values))  # noqa: S704 - our own template

    def error(self, request: Request, status: int, what: str, remedy: str) -> Response:
        """Answer with a page that says what went wrong and what to do."""
        return self.filled(request, "error", status, what=what, remedy=remedy)

    def refused(self, request: Request, status: int, error: JarsideError) -> Response:
        """Answer with a page that says what an error says, in the shelf's own time."""
        return self.error(request, status, error.page_what_in(self.desk.manner.zone), error.page_remedy)

    def form_route(self, path: str, shown: Callable[[Request, Form], Response], sent: Posted) -> tuple[Route, Route]:
        """Return the two routes of a page with a form.

        Args:
            path: where it is.
            shown: answers with the page, the form as it stands.
            sent: answers the submitted form: writes and goes elsewhere, or calls `shown` again.
        """

        def fresh(request: Request) -> Response:
            return shown(request, Form())

        return Route(path, fresh, methods=["GET"]), Route(path, posted(self._marks, sent), methods=["POST"])

    def action(self, path: str, sent: Posted) -> Route:
        """Return the route of a form that stands on another page."""
        return Route(path, posted(self._marks, sent), methods=["POST"])


def elsewhere(path: str) -> Response:
    """Answer a form that was kept: look at another page, so that "back" and "reload" send nothing again."""
    return RedirectResponse(path, 303)


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
        bottle_svg=_marked(bottle_svg, BottlePicture),
        germination_svg=_marked(germination_svg, GerminationChart),
        chart_svg=_marked(chart_svg, Chart),
        window_svg=lambda daylight, part: Markup(window_svg(Daylight(daylight), part)),  # noqa: S704 - our own drawing
        station_svg=_marked(station_svg, str),
        beam=Markup(BEAM),  # noqa: S704 - our own drawing
        empty_place=Markup(EMPTY_PLACE),  # noqa: S704 - our own drawing
        static=static_url,
        notice=desk.notice,
        zone=desk.manner.zone,
        units=UNITS[desk.manner.measures],
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
    r"(?<=\d) (?=[°%]|lx\b|g\b|mL\b|L\b|h\b|oz\b|fl\b|qt\b|gal\b|tsp\b|tbsp\b|min\b|bar\b|warm-days|[A-Z][a-z]{2}\b)"
    r"|(?<=[a-z]{2}) (?=\d{1,2} [A-Z][a-z]{2}\b)|(?<=fl) (?=oz\b)|(?<=\d) (?=: \d)|(?<=\d :) (?=\d)"
)


def static_url(name: str) -> str:
    """Return where a static file is, with a mark that changes with its content so that it may be kept for ever."""
    return _URLS[name]


_URLS = {
    path.name: f"/static/{path.name}?{crc32(path.read_bytes()):08x}" for path in STATIC.iterdir() if path.is_file()
}
