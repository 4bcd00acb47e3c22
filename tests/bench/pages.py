"""How long a page takes, beside a bare page of the same size, with a week of log and with five years."""

import http.client
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from urllib.parse import urlsplit

from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware

from dashboard.app import GZIP_LEVEL, create_app
from dashboard.serve import Serving
from tests.bench import climate
from tests.bench.bare import bare_app
from tests.bench.growing import Growing
from tests.bench.kitchens import SETTINGS
from tests.bench.logs import BLOCK_DAYS, a_folder
from tests.bench.report import Goal, Line, Report
from tests.bench.timing import interleaved, seconds

UNTIL = datetime(2026, 5, 29, 13, 0, tzinfo=UTC)
PAGES = ("/",)
GOAL = Goal("at most", 2.0, "ratio")
NO_SLOWER = Goal("at most", 1.05, "ratio")
"""Two medians of the same thing differ by some hundredths."""
WARM_UP = 10


@dataclass(frozen=True, slots=True)
class Client:
    """One kept connection to one served app, as a browser has it."""

    connection: http.client.HTTPConnection
    encoding: str

    def get(self, path: str) -> bytes:
        self.connection.request("GET", path, headers={"accept-encoding": self.encoding})
        response = self.connection.getresponse()
        body = response.read()
        if response.status != http.client.OK:
            raise RuntimeError(f"{path}: status {response.status}")
        return body


def measured(years: float = 5.0, rounds: int = 200) -> Report:
    """Ask each page of two dashboards and a bare page of the same size in turn.

    Args:
        years: how long the long log is.
        rounds: how often each is asked.
    """
    days = max(1, round(years * 365.0 / BLOCK_DAYS)) * BLOCK_DAYS
    with TemporaryDirectory() as name, ExitStack() as stack:
        week, long = Path(name) / "week", Path(name) / "long"
        build_s = seconds(lambda: (a_folder(week, UNTIL, 7), a_folder(long, UNTIL, days)))
        size_mb = (long / "shelf.db").stat().st_size / 1e6
        growing = stack.enter_context(closing(Growing(long / "shelf.db", UNTIL)))
        week_url, long_url, bare_url = (
            stack.enter_context(_served(app))
            for app in (create_app(SETTINGS, week, _now), create_app(SETTINGS, long, growing.now), _bare())
        )
        found = [
            _asked(path, encoding, (bare_url, week_url, long_url), rounds)
            for path in PAGES
            for encoding in ("identity", "gzip")
        ]
        sides = (climate.Side(week, _connected(week_url)), climate.Side(long, _connected(long_url)))
        name_long = f"{days / 365.0:.3g} years"
        curves = list(climate.lines(*sides, name_long, growing, rounds))
    lines = [*(line for one in found for line in _lines(one, name_long)), *curves]
    return Report(
        "pages",
        f"uvicorn on loopback, one kept connection, median of {rounds} interleaved requests; {days} days of log with "
        f"every minute, hour and day ({size_mb:.0f} MB, built in {build_s:.0f} s)",
        "a bare FastAPI and Jinja page of as many bytes: a table filled in a loop, served the same way",
        tuple(lines),
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    path: str
    encoding: str
    size: int
    bare_ms: float
    week_ms: float
    long_ms: float


def _asked(path: str, encoding: str, urls: tuple[str, str, str], rounds: int) -> _Asked:
    bare, week, long = (_client(url, encoding) for url in urls)
    size = len(_client(urls[1], "identity").get(path))
    bare_path = f"/{size}"
    for _ in range(WARM_UP):
        bare.get(bare_path), week.get(path), long.get(path)
    taken = interleaved(rounds, (lambda: bare.get(bare_path), lambda: week.get(path), lambda: long.get(path)))
    return _Asked(path, encoding, size, *(1000.0 * median(runs) for runs in taken))


def _lines(one: _Asked, long: str) -> Iterator[Line]:
    plain = one.encoding == "identity"
    name = one.path if plain else f"{one.path}, compressed"
    note = f"{one.size:,} bytes" if plain else ""
    yield Line(f"{name}, a week of log", one.week_ms, "ms", one.bare_ms, GOAL, note)
    yield Line(f"{name}, {long}", one.long_ms, "ms", one.bare_ms, GOAL)
    yield Line(f"{name}, {long} beside a week", one.long_ms, "ms", one.week_ms, NO_SLOWER)


def _now() -> datetime:
    return UNTIL


def _bare() -> FastAPI:
    app = bare_app()
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=GZIP_LEVEL)
    return app


def _connected(url: str) -> Callable[[], Callable[[str], bytes]]:
    return lambda: _client(url, "identity").get


def _client(url: str, encoding: str) -> Client:
    where = urlsplit(url)
    assert where.hostname is not None
    return Client(http.client.HTTPConnection(where.hostname, where.port), encoding)


@contextmanager
def _served(app: FastAPI) -> Iterator[str]:
    serving = Serving(app, "127.0.0.1", 0)
    thread = threading.Thread(target=serving.run)
    thread.start()
    try:
        time.sleep(0.2)  # the port is open already; this only keeps the start out of the first request
        yield serving.url
    finally:
        serving.stop()
        thread.join()
