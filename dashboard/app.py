"""The dashboard as a factory: settings, a data folder and a clock go in, a web application comes out."""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import Response
from starlette.routing import Route
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from dashboard.access import Door, is_api
from dashboard.api import api_routes
from dashboard.books import Books
from dashboard.desk import Desk
from dashboard.forms import Marks
from dashboard.frame import STATIC, Frame
from dashboard.gate import SAFETY, Gate, refusal
from dashboard.lent import NOTHING, Lent
from dashboard.live import live_route
from dashboard.pages import page_routes
from dashboard.pages.access import AccessPages
from dashboard.reader import ReadNow
from dashboard.turns import BusyError
from dashboard.views.manner import manner_of
from station.config import Settings
from station.errors import JarsideError, StoreError, UnknownNameError
from station.store.access import Access
from station.store.access_file import NAME

GZIP_LEVEL = 1
"""Pages are a quarter as long with it; higher levels save a tenth more and cost a small machine twice the time."""


def create_app(
    settings: Settings,
    folder: Path,
    now: Callable[[], datetime],
    *,
    notice: str = "",
    lent: Lent = NOTHING,
) -> FastAPI:
    """Make the dashboard.

    Args:
        settings: units, zone, place, limits and allowed host names.
        folder: the data folder with `shelf.db` and `notebook.db`; both may be missing.
        now: the present, aware UTC; a simulated shelf hands in its own.
        notice: a sentence over every page, such as that the shelf is simulated.
        lent: functions of layers that the pages may not know.
    """
    desk = Desk(settings, manner_of(settings), Books(folder), now, _version(), notice, lent)
    access = _opened(folder)
    frame = Frame(desk, Marks(access.mark_key()))
    app = FastAPI(
        title="Jarside",
        version=desk.version,
        description="The shelf, its jars and its log. Times carry their offset; units are part of every name.",
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=_closing(desk.books, access),
    )
    app.state.stopping = lambda: False  # the server puts its own in place
    app.state.protected = lambda: access.protected
    app.router.routes.extend([*page_routes(frame), *AccessPages(frame, access).routes(), live_route(desk, access)])
    app.router.routes.extend(api_routes(desk))
    app.mount("/static", _Static(directory=STATIC), name="static")
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=GZIP_LEVEL)
    app.add_middleware(Door, access=access, now=now)
    app.add_middleware(ReadNow, now=now)
    app.add_middleware(Gate, hosts=_names(settings))
    _explain_errors(app, frame)
    return app


def _version() -> str:
    try:
        return version("jarside")
    except PackageNotFoundError:  # run from a checkout
        return "0"


def _names(settings: Settings) -> tuple[str, ...]:
    """Return the names the pages answer to: those of the settings, and the one address they listen on."""
    named = settings.dashboard
    return named.allowed_hosts if named.host in _ANY else (*named.allowed_hosts, named.host)


_ANY = ("0.0.0.0", "::", "")  # noqa: S104 - compared with, not listened on


def _opened(folder: Path) -> Access:
    folder.mkdir(parents=True, exist_ok=True)
    return Access.open(folder / NAME)


def _closing(books: Books, access: Access) -> Callable[[FastAPI], AbstractAsyncContextManager[None]]:
    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        books.close()
        access.close()

    return lifespan


class _Static(StaticFiles):
    """Files whose address changes with their content, so that a browser may keep them."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        response = await super().get_response(path, scope)
        response.headers["cache-control"] = "public, max-age=31536000, immutable"
        return response


def _explain_errors(app: FastAPI, frame: Frame) -> None:
    """Answer every error as a page for people and as JSON for programs."""

    def explained(request: Request, status: int, what: str, remedy: str) -> Response:
        if is_api(request.url.path):
            return refusal(status, what, remedy)
        return frame.error(request, status, what, remedy)

    def expected(request: Request, error: Exception) -> Response:
        assert isinstance(error, JarsideError)  # noqa: S101
        if is_api(request.url.path):
            return refusal(_status(error, for_program=True), error.what, error.remedy)
        return frame.refused(request, _status(error, for_program=False), error)

    def wrong(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)  # noqa: S101
        first = error.errors()[0]
        return explained(
            request, 422, f"{first['loc'][-1]}: {first['msg']}", "See /api/openapi.json for what is allowed."
        )

    def refused(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)  # noqa: S101
        texts = _HTTP | (_API_HTTP if is_api(request.url.path) else {})
        what, remedy = texts.get(error.status_code, (error.detail, ""))
        response = explained(request, error.status_code, what, remedy)
        response.headers.update(error.headers or {})
        if error.status_code == 405:
            response.headers["allow"] = ", ".join(_allowed(app, request.url.path))
        return response

    def unexpected(request: Request, _: Exception) -> Response:
        response = explained(request, 500, "something went wrong here", "The log of the dashboard says what.")
        response.headers.update(SAFETY)  # this answer is made outside the gate
        return response

    app.add_exception_handler(JarsideError, expected)
    app.add_exception_handler(RequestValidationError, wrong)
    app.add_exception_handler(HTTPException, refused)
    app.add_exception_handler(Exception, unexpected)


def _allowed(app: FastAPI, path: str) -> list[str]:
    """Return all that may be done at a path: each route by itself knows of its own methods only."""
    routes = [route for route in app.router.routes if isinstance(route, Route) and route.path_regex.match(path)]
    return sorted({method for route in routes for method in route.methods or ()})


_HTTP = {
    404: ("there is no such page", "Begin at the shelf."),
    405: ("this cannot be done here", "Begin at the shelf."),
    400: ("the request cannot be read", "Go back and send the form again."),
    415: ("a form was expected", "Send it from the page, as application/x-www-form-urlencoded."),
    413: ("the request is too large", "Send less."),
}


_API_HTTP = {
    404: ("there is no such page", "What there is: /api/openapi.json."),
    405: ("this cannot be done here", "What can be done: /api/openapi.json."),
}
"""What programs are told instead."""


def _status(error: JarsideError, *, for_program: bool) -> int:
    """Return how an expected error is answered.

    Programs are told apart what does not fit the description (422) and what does not fit what is recorded (409).
    """
    if isinstance(error, UnknownNameError):
        return 404
    if isinstance(error, BusyError):
        return 429
    return 503 if isinstance(error, StoreError) else 409 if for_program else 422
