"""Serving the dashboard: where it may listen, the port taken before anything starts, and an end that comes soon."""

import errno
import ipaddress
import socket

import uvicorn
from fastapi import FastAPI

from station.errors import JarsideError

END_WITHIN_S = 2
"""How long requests still running may take once the server is told to end."""


def check_address(host: str, *, protected: bool = False) -> None:
    """Refuse to listen where others could reach the pages before there is a passphrase.

    Args:
        host: a name or address to listen on.
        protected: whether there is one.

    Raises:
        JarsideError: it is not this machine's own loopback, and there is none.
    """
    if not protected and not is_loopback(host):
        raise JarsideError(
            f"dashboard.host = {host!r}: others could open the pages, and they are not protected by a passphrase yet",
            "Set one: jarside passphrase. Or set the host to 127.0.0.1, and reach it from elsewhere through ssh: "
            "ssh -L 8420:127.0.0.1:8420 NAME.",
        )


def is_loopback(host: str) -> bool:
    """Return whether only this machine itself can reach an address."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def listen(host: str, port: int) -> socket.socket:
    """Take the port, before anything else is started.

    Args:
        host: where to listen.
        port: 1 to 65535, or 0 for any that is free.

    Raises:
        JarsideError: the port is in use or may not be taken.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # The protocol is named because asyncio switches Nagle's delay off only then: else each page waits 40 ms.
    taken = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((host, port))
        taken.listen(128)
    except OSError as error:
        taken.close()
        raise JarsideError(*_refused(host, port, error)) from error
    return taken


def _refused(host: str, port: int, error: OSError) -> tuple[str, str]:
    another = f"choose another port: --port {port % 65535 + 1}."
    if error.errno == errno.EADDRINUSE:
        return f"port {port} on {host} is in use", f"End the program that uses it, or {another}"
    if error.errno == errno.EACCES:
        return f"port {port} on {host} may not be taken by this user", f"Ports below 1024 are reserved; {another}"
    return f"cannot listen on {host}, port {port}: {error.strerror}", f"Correct dashboard.host, or {another}"


class Serving:
    """A dashboard that listens; `run` serves until it is told to end.

    Args:
        app: what to serve.
        host, port: where; port 0 takes any that is free.

    Raises:
        JarsideError: not loopback without a passphrase, or the port cannot be taken.
    """

    def __init__(self, app: FastAPI, host: str, port: int) -> None:
        check_address(host, protected=getattr(app.state, "protected", bool)())
        self._host = host
        self._socket = listen(host, port)
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=END_WITHIN_S,
        )
        self._server = uvicorn.Server(config)
        app.state.stopping = self._stopping

    @property
    def url(self) -> str:
        """Where to look."""
        host = f"[{self._host}]" if ":" in self._host else self._host
        return f"http://{host}:{self._socket.getsockname()[1]}/"

    def _stopping(self) -> bool:
        return bool(self._server.should_exit)

    def stop(self) -> None:
        """Ask it to end; may be called from another thread."""
        self._server.should_exit = True

    def run(self) -> None:
        """Serve until told to end, by `stop` or, in the main thread, by SIGINT or SIGTERM."""
        try:
            self._server.run(sockets=[self._socket])
        except KeyboardInterrupt:
            pass  # uvicorn raises the signal again once it has ended; to be told so is not to be aborted
        finally:
            self._socket.close()


def serve(app: FastAPI, host: str, port: int) -> None:
    """Serve until SIGINT or SIGTERM.

    Args:
        app: what to serve.
        host, port: where.

    Raises:
        JarsideError: not loopback without a passphrase, or the port cannot be taken.
    """
    Serving(app, host, port).run()


def check_port(host: str, port: int) -> None:
    """Make sure, before long work begins, that the port can be taken.

    Raises:
        JarsideError: not loopback without a passphrase, or the port cannot be taken.
    """
    check_address(host)
    listen(host, port).close()
