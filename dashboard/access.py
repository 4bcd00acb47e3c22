"""Who is let in: a session's cookie or a program's token; without a passphrase, this machine alone.

Plain ASGI, behind the gate: it looks at every request before a page does, and names the session in the scope, so that
the marks of forms belong to it.
"""

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from urllib.parse import quote, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import HTTPConnection, Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from dashboard.gate import refusal
from dashboard.slowdown import own_machine
from station.errors import StoreError
from station.store.access import Access
from station.store.access_file import LASTING, SEEN_EVERY, Session, Token

COOKIE = "jarside"
LOGIN = "/login"
OPEN = frozenset({LOGIN, "/manifest.webmanifest", "/favicon.ico"})
OPEN_BELOW = "/static/"
SESSION, TOKEN = "jarside.session", "jarside.token"
_FORWARDED = ("forwarded", "x-forwarded-for", "x-real-ip")


class Door:
    """Let in who may come in, and send the others to the login page.

    Args:
        app: what lies behind.
        access: the passphrase, sessions and tokens.
        now: the present, aware UTC.
    """

    def __init__(self, app: ASGIApp, access: Access, now: Callable[[], datetime]) -> None:
        self._app = app
        self._access = access
        self._now = now

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or pass it on."""
        if scope["type"] != "http" or scope["path"].startswith(OPEN_BELOW):
            await self._app(scope, receive, send)
            return
        answer = await self._answer(scope)
        await (answer or self._app)(scope, receive, send)

    async def _answer(self, scope: Scope) -> Response | None:
        """Return the refusal, or None for one who may pass."""
        connection, now_at = HTTPConnection(scope), self._now()
        token = self._token(connection)
        if token is None and _shows_one(connection):
            return _NEEDS_TOKEN  # wrong is wrong, also where nothing is asked for: so that a program can try its own
        if not self._access.protected:
            return None if at_this_machine(scope) else _UNPROTECTED
        if (session := session_in(connection, self._access, now_at)) is not None:
            scope[SESSION] = session.id
            await self._note_session(session, now_at)
            return None
        if scope["path"] in OPEN:
            return None
        if token is None:
            return _refused(scope)
        scope[TOKEN] = token.name
        await self._note_token(token, now_at)
        return None

    def _token(self, connection: HTTPConnection) -> Token | None:
        """Return the token that a program shows; it opens the API only."""
        kind, _, secret = connection.headers.get("authorization", "").partition(" ")
        if kind.lower() != "bearer" or not is_api(connection.scope["path"]):
            return None
        return self._access.token(secret.strip())

    async def _note_session(self, session: Session, now_at: datetime) -> None:
        if not _recent(session.seen_at, now_at):
            with suppress(StoreError):  # a full card is no reason not to show the shelf and what to do about it
                await run_in_threadpool(self._access.seen, session, now_at)

    async def _note_token(self, token: Token, now_at: datetime) -> None:
        if token.used_at is None or not _recent(token.used_at, now_at):
            with suppress(StoreError):
                await run_in_threadpool(self._access.used, token, now_at)


def _recent(at: datetime, now_at: datetime) -> bool:
    return abs(now_at - at) < SEEN_EVERY


def _shows_one(connection: HTTPConnection) -> bool:
    return "authorization" in connection.headers and is_api(connection.scope["path"])


def is_api(path: str) -> bool:
    """Return whether a path is for programs."""
    return path == "/api" or path.startswith("/api/")


def session_in(connection: HTTPConnection, access: Access, now_at: datetime) -> Session | None:
    """Return the session whose cookie a request carries, or None."""
    secret = connection.cookies.get(COOKIE)
    return access.session(secret, now_at) if secret else None


def still_in(request: Request, access: Access, now_at: datetime) -> bool:
    """Return whether one who was let in may stay: the session has not ended, and no passphrase was set meanwhile."""
    session = request.scope.get(SESSION, "")
    return not access.protected or bool(session and access.session_of(session, now_at))


def at_this_machine(scope: Scope) -> bool:
    """Return whether a request comes from this machine itself, and not through a server that stands before it."""
    client = scope.get("client")
    headers = Headers(scope=scope)
    return client is not None and own_machine(client[0]) and not any(name in headers for name in _FORWARDED)


def _refused(scope: Scope) -> Response:
    path: str = scope["path"]
    if is_api(path) or path == "/live":
        return _NEEDS_TOKEN
    return RedirectResponse(f"{LOGIN}?next={quote(_after(scope), safe='/')}", 303)


def _after(scope: Scope) -> str:
    """Return where to go after the login: the page asked for, or the one whose form was sent."""
    if scope["method"] in ("GET", "HEAD"):
        query = scope["query_string"].decode("latin-1")
        return f"{scope['path']}{'?' if query else ''}{query}"
    sent_from = urlsplit(Headers(scope=scope).get("referer", ""))
    return local_path(sent_from.path)


def local_path(text: str) -> str:
    """Return a path on these pages, or "/" for anything that could lead elsewhere."""
    odd = any(sign <= " " or sign in "\\\x7f" for sign in text)
    return "/" if odd or not text.startswith("/") or text.startswith("//") else text


def let_in(response: Response, request: Request, secret: str) -> Response:
    """Give the browser its session. Scripts cannot read it, and other sites' pages cannot send it."""
    response.set_cookie(
        COOKIE,
        secret,
        max_age=int(LASTING.total_seconds()),
        httponly=True,
        samesite="strict",
        secure=request.url.scheme == "https",
    )
    return response


def let_out(response: Response) -> Response:
    """Take the browser's session away."""
    response.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return response


_UNPROTECTED = refusal(
    403, "these pages have no passphrase, so they open on their own machine only", "Set one there: jarside passphrase."
)
_NEEDS_TOKEN = refusal(
    401, "this is for those who are let in", "Log in, or send a token: jarside token make NAME prints one."
)
_NEEDS_TOKEN.headers["www-authenticate"] = "Bearer"
