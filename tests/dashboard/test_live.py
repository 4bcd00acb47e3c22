"""The stream of changes, and a server that ends although somebody listens to it."""

import asyncio
import json
import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2
import pytest

from dashboard.app import create_app
from dashboard.books import Books
from dashboard.desk import Desk
from dashboard.live import events
from dashboard.serve import Serving, check_address, check_port, is_loopback, listen
from station.errors import JarsideError
from station.store.access import Access
from station.store.access_file import NAME
from tests.builders import a_reading
from tests.dashboard.doors import protect
from tests.dashboard.world import MANNER, SETTINGS, Shelf

LONG_S = 60.0
"""How long a test waits before it gives up: beside four busy programs a test with a new process took 15 s."""


def first_event(shelf: Shelf) -> object:
    """What the first event carries."""
    desk = Desk(SETTINGS, MANNER, Books(shelf.folder), lambda: shelf.now_at, "0", "")

    async def listened() -> str:
        stream = events(desk, lambda: False)
        await anext(stream)  # how long to wait before coming back
        event = await anext(stream)
        await stream.aclose()  # type: ignore[attr-defined]
        return event

    name, data = asyncio.run(listened()).strip().split("\n")
    assert name == "event: shelf"
    return json.loads(data.removeprefix("data: "))


def test_the_first_event_tells_the_latest_reading(shelf: Shelf) -> None:
    shelf.live([a_reading(0, temp_c=20.25)])

    assert first_event(shelf) == {
        "measured_at": "2026-05-04T06:00:00+00:00",
        "temp_c": 20.25,
        "rh_pct": 55.0,
        "light_lx": 120.0,
    }


def test_without_a_reading_the_event_is_empty(shelf: Shelf) -> None:
    assert first_event(shelf) is None
    (shelf.folder / "shelf.db").write_bytes(b"not a database" * 100)
    assert first_event(shelf) is None


def test_a_server_that_is_to_end_ends_its_streams(shelf: Shelf) -> None:
    desk = Desk(SETTINGS, MANNER, Books(shelf.folder), lambda: shelf.now_at, "0", "")

    async def listened() -> list[str]:
        return [event async for event in events(desk, lambda: True)]

    assert asyncio.run(listened()) == ["retry: 5000\n\n"]


@contextmanager
def serving(shelf: Shelf) -> Iterator[tuple[Serving, threading.Thread]]:
    server = Serving(create_app(shelf.settings, shelf.folder, lambda: shelf.now_at), "127.0.0.1", 0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield server, thread
    finally:
        server.stop()
        thread.join(LONG_S)


def test_a_change_reaches_a_listener_and_stopping_ends_the_stream(shelf: Shelf) -> None:
    with serving(shelf) as (server, thread), httpx2.stream("GET", server.url + "live", timeout=LONG_S) as answer:
        assert answer.headers["content-type"].startswith("text/event-stream")
        assert "content-encoding" not in answer.headers
        lines = answer.iter_lines()
        heard = [next(lines) for _ in range(4)]
        assert heard[3] == "data: null"
        shelf.live([a_reading(0, temp_c=21.5)])
        assert next(line for line in lines if line.startswith("data:") and "21.5" in line)
        server.stop()
        assert not any("event" in line for line in lines)
        thread.join(LONG_S)
        assert not thread.is_alive()


def test_sigterm_ends_the_server_with_a_stream_open(tmp_path: Path) -> None:
    program = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from dashboard.app import create_app
from dashboard.serve import Serving
from station.config import Settings

server = Serving(create_app(Settings(), Path(sys.argv[1]), lambda: datetime.now(UTC)), "127.0.0.1", 0)
print(server.url, flush=True)
server.run()
"""
    process = subprocess.Popen([sys.executable, "-c", program, str(tmp_path)], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        url = process.stdout.readline().strip()
        with httpx2.stream("GET", url + "live", timeout=LONG_S) as answer:
            next(answer.iter_lines())
            os.kill(process.pid, signal.SIGTERM)
            assert process.wait(LONG_S) in (0, -signal.SIGTERM)
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.20", "shelf.local", ""])  # noqa: S104 - refused here
def test_it_does_not_listen_where_others_could_reach_it(host: str) -> None:
    with pytest.raises(JarsideError, match="not protected by a passphrase yet") as caught:
        check_address(host)
    assert "ssh" in caught.value.remedy
    assert "jarside passphrase" in caught.value.remedy
    check_address(host, protected=True)


def test_with_a_passphrase_it_listens_beyond_the_machine(shelf: Shelf) -> None:
    app = create_app(shelf.settings, shelf.folder, lambda: shelf.now_at)
    with pytest.raises(JarsideError, match="not protected by a passphrase yet"):
        Serving(app, "0.0.0.0", 0)  # noqa: S104 - refused here
    protect(shelf)
    Serving(app, "0.0.0.0", 0)._socket.close()  # noqa: S104 - taken and let go, nothing is served


def test_a_stream_ends_with_its_session(shelf: Shelf) -> None:
    protect(shelf)
    with serving(shelf) as (server, _), Access.open(shelf.folder / NAME) as access:
        secret = access.begin("Firefox on Linux", shelf.now_at)
        cookie = {"cookie": f"jarside={secret}"}
        assert httpx2.get(server.url + "live").status_code == 401
        with httpx2.stream("GET", server.url + "live", headers=cookie, timeout=LONG_S) as answer:
            lines = answer.iter_lines()
            assert next(lines).startswith("retry")
            access.end(access.sessions(shelf.now_at)[0].id)
            assert len(list(lines)) < 8


@pytest.mark.parametrize("host", ["127.0.0.1", "127.3.2.1", "::1", "localhost"])
def test_it_listens_on_its_own_machine(host: str) -> None:
    check_address(host)
    assert is_loopback(host)


def test_a_port_in_use_is_named_before_anything_starts() -> None:
    with listen("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(JarsideError, match=f"port {port} on 127.0.0.1 is in use") as caught:
            check_port("127.0.0.1", port)
    assert f"--port {port + 1}" in caught.value.remedy
    check_port("127.0.0.1", port)


def test_pages_do_not_wait_for_small_packets() -> None:
    """asyncio turns Nagle's algorithm off only on sockets that name TCP; else every page took 40 ms."""
    with listen("127.0.0.1", 0) as taken:
        assert taken.proto == socket.IPPROTO_TCP
