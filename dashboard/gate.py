"""The gate before every request: known names only, small bodies only, nothing sent from another site, and the headers
that keep pages safe.

Plain ASGI: a stack of wrapped responses would cost more than the pages themselves.
"""

from contextlib import suppress

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY_BYTES = 64 * 1024
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; manifest-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
SAFETY = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
_RAW = [(name.encode("latin-1"), value.encode("latin-1")) for name, value in SAFETY.items()]
_ASKING = frozenset({"GET", "HEAD", "OPTIONS"})
_FRESH = (b"cache-control", b"no-cache")


class Gate:
    """Let through what may pass.

    Args:
        app: what lies behind.
        hosts: names, without ports, under which this may be asked for.
    """

    def __init__(self, app: ASGIApp, hosts: tuple[str, ...]) -> None:
        self._app = app
        self._hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or pass it on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        sender = _Sender(send)
        if host_name(headers.get("host", "")) not in self._hosts:
            await _WRONG_HOST(scope, receive, sender)
        elif scope["method"] not in _ASKING and _from_elsewhere(headers):
            await _FOREIGN(scope, receive, sender)
        elif _too_long(headers.get("content-length", "0")):
            await _TOO_LARGE(scope, receive, sender)
        else:
            with suppress(ClientDisconnect):  # whoever hangs up half way is no failure of ours, and fills no log
                await self._app(scope, _Receiver(receive), sender)


def host_name(header: str) -> str:
    """Return the name in a Host header, in small letters and without its port: "[::1]:8420" gives "::1"."""
    if header.startswith("["):
        return header[1:].partition("]")[0].lower()
    return header.partition(":")[0].lower()


def _from_elsewhere(headers: Headers) -> bool:
    """Whether a browser says that another site's page sends this; programs say nothing of it."""
    origin = headers.get("origin")
    if origin is not None:
        return origin.partition("://")[2].lower() != headers.get("host", "").lower()
    return headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")


def _too_long(length: str) -> bool:
    return not length.isdecimal() or int(length) > MOST_BODY_BYTES


class _Sender:
    """Puts the safety headers on the response."""

    __slots__ = ("_send",)

    def __init__(self, send: Send) -> None:
        self._send = send

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = list(message["headers"])
            if not any(name == b"cache-control" for name, _ in headers):
                headers.append(_FRESH)
            message = {**message, "headers": headers + _RAW}
        await self._send(message)


class _Receiver:
    """Counts the body, whose length may have been left out or lied about."""

    __slots__ = ("_left", "_receive")

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._left = MOST_BODY_BYTES

    async def __call__(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            raise HTTPException(413)
        return message


def refusal(status: int, what: str, remedy: str) -> JSONResponse:
    """Return an error for a program: what went wrong, and what to do about it."""
    return JSONResponse({"what": what, "remedy": remedy}, status)


_WRONG_HOST = refusal(
    400, "these pages are not known under that name", "Add the name to dashboard.allowed_hosts in the settings."
)
_FOREIGN = refusal(403, "this was sent from another site's page", "Open these pages, and send it from there.")
_TOO_LARGE = refusal(413, f"the request holds more than {MOST_BODY_BYTES} bytes", "Send less.")
