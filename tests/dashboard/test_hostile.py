"""What strangers may try: refused, nothing changed, and the memory of a real server stays flat."""

import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import httpx2
import pytest
from starlette.routing import Route

from dashboard.app import create_app
from station.store.access import Access
from station.store.access_file import NAME
from tests.dashboard.doors import WORDS, browsers, log_in, protect
from tests.dashboard.forming import mark_of
from tests.dashboard.world import SETTINGS, Shelf, a_kitchen, at

LONG_S = 30.0
MB = 1024
"""In kB, as /proc counts."""


def forms(folder: Path) -> list[str]:
    """Return where forms are sent to by one who is let in, all of them, with a jar's name filled in."""
    app = create_app(SETTINGS, folder, lambda: at(0))
    paths = [route.path for route in app.router.routes if isinstance(route, Route) and "POST" in (route.methods or ())]
    return [re.sub(r"\{[^}]+\}", "comfrey-1", path) for path in paths if not path.startswith(("/api/", "/login"))]


@pytest.fixture
def closed(shelf: Shelf) -> Shelf:
    """A shelf with a jar and a passphrase."""
    shelf.pack("comfrey")
    protect(shelf)
    return shelf


def kept(shelf: Shelf) -> tuple[bytes, int, bool]:
    """What must not change: every byte of the notebook, who is let in, and the passphrase."""
    with Access.open(shelf.folder / NAME) as access:
        sessions = len(access.sessions(shelf.now_at))
        return (shelf.folder / "notebook.db").read_bytes(), sessions, access.matches(WORDS)


@pytest.mark.parametrize(
    ("headers", "mark", "statuses"),
    [
        ({"host": "shelf.example"}, "", {400}),
        ({"origin": "http://shelf.example"}, "", {403}),
        ({"origin": "null"}, "", {403}),
        ({"origin": "", "sec-fetch-site": "cross-site"}, "", {403}),
        ({}, "", {404, 422}),
        ({}, "made.up", {404, 422}),
        ({}, "another's", {404, 422}),
    ],
)
def test_no_form_takes_what_does_not_come_from_its_own_page_and_session(
    closed: Shelf, headers: dict[str, str], mark: str, statuses: set[int]
) -> None:
    with browsers(closed, 2) as (owner, other):
        log_in(owner)
        log_in(other)
        if mark == "another's":
            mark = mark_of(other.get("/access").text)
        before = kept(closed)
        paths = forms(closed.folder)
        answers = {
            path: owner.post(path, data={"mark": mark, "plant": "tansy", "new": WORDS, "again": WORDS}, headers=headers)
            for path in paths
        }

    assert len(paths) > 10
    assert {path: answer.status_code for path, answer in answers.items() if answer.status_code not in statuses} == {}
    assert kept(closed) == before


@pytest.mark.parametrize("mark", ["", "made.up"])
def test_the_login_takes_no_passphrase_that_another_page_sends(closed: Shelf, mark: str) -> None:
    with browsers(closed) as (browser,):
        answer = browser.post("/login", data={"mark": mark, "passphrase": WORDS})

    assert answer.status_code == 422
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("cookie", ["ended", "planted"])
def test_no_form_takes_anything_from_an_ended_session(closed: Shelf, cookie: str) -> None:
    with browsers(closed) as (browser,):
        log_in(browser)
        mark = mark_of(browser.get("/access").text)
        with Access.open(closed.folder / NAME) as access:
            access.end_others("")
        if cookie == "planted":
            browser.cookies.set("jarside", "x" * 43, "127.0.0.1")
        before = kept(closed)
        answers = {path: browser.post(path, data={"mark": mark, "plant": "tansy"}) for path in forms(closed.folder)}

    assert {answer.status_code for answer in answers.values()} == {303}
    assert all(answer.headers["location"].startswith("/login?next=") for answer in answers.values())
    assert kept(closed) == before


@dataclass(frozen=True)
class Real:
    """A server of its own."""

    url: str
    pid: int
    shelf: Shelf

    def memory_kb(self, what: str = "VmRSS") -> int:
        """Return its memory, now or (`VmHWM`) at its highest."""
        found = re.search(rf"{what}:\s+(\d+) kB", Path(f"/proc/{self.pid}/status").read_text())
        assert found
        return int(found[1])

    def forget_peak(self) -> None:
        """Let the highest begin anew (proc(5): clear_refs)."""
        Path(f"/proc/{self.pid}/clear_refs").write_text("5")

    def say(self, *pieces: bytes) -> bytes:
        """Send bytes as they are, and return the first of what comes back; b"" when it hangs up."""
        host, port = self.url.removeprefix("http://").rstrip("/").split(":")
        with socket.create_connection((host, int(port)), timeout=LONG_S) as stream:
            try:
                for piece in pieces:
                    stream.sendall(piece)
                stream.shutdown(socket.SHUT_WR)
                return stream.recv(65536)
            except (BrokenPipeError, ConnectionResetError):
                return b""


PROGRAM = """
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


@pytest.fixture(scope="module")
def real(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Real]:
    """A kitchen behind a passphrase that is hashed as in earnest, served by a process of its own."""
    kitchen = a_kitchen(tmp_path_factory.mktemp("real"))
    with Access.open(kitchen.folder / NAME) as access:
        access.set_passphrase(WORDS)
    process = subprocess.Popen([sys.executable, "-c", PROGRAM, kitchen.folder], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        url = process.stdout.readline().strip()
        for path in ("login", "api/shelf", "jars"):
            httpx2.get(url + path, timeout=LONG_S)
        attempt(url, "warming up")
        yield Real(url, process.pid, kitchen)
    finally:
        process.terminate()
        process.wait(LONG_S)
        process.stdout.close()


def attempt(url: str, words: str) -> int:
    """Try a passphrase, and return the status."""
    page = httpx2.get(url + "login", timeout=LONG_S).text
    return httpx2.post(url + "login", data={"mark": mark_of(page), "passphrase": words}, timeout=LONG_S).status_code


def flat(real: Real, before_kb: int, most_mb: float) -> bool:
    """Whether its memory at its highest stayed within so much of what it was before."""
    return real.memory_kb("VmHWM") <= before_kb + most_mb * MB


def test_a_hundred_wrong_passphrases_at_once_take_the_memory_of_one(real: Real) -> None:
    """One hash takes 64 MiB; a hundred at once would take 6.4 GB."""
    before, before_kb = kept(real.shelf), real.memory_kb()
    real.forget_peak()
    with ThreadPoolExecutor(20) as guessers:
        statuses = list(guessers.map(lambda number: attempt(real.url, f"guess number {number}"), range(100)))

    assert set(statuses) == {422, 429}
    assert statuses.count(422) < 10, "most were not even looked at"
    assert flat(real, before_kb, 64 + 24)
    assert real.memory_kb() <= before_kb + 24 * MB
    assert kept(real.shelf) == before


TEN_MB = 10 * 1024 * 1024
HEAD = "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-www-form-urlencoded\r\n"


@pytest.mark.parametrize("path", ["/login", "/access", "/api/jars", "/jars", "/static/jarside.css", "/nowhere"])
def test_ten_megabytes_are_refused_unread(real: Real, path: str) -> None:
    before, before_kb = kept(real.shelf), real.memory_kb()
    real.forget_peak()
    head = HEAD.format(method="POST", path=path)
    said = real.say(f"{head}Content-Length: {TEN_MB}\r\n\r\n".encode(), *[b"x" * 65536] * (TEN_MB // 65536))
    assert said == b"" or b" 413 " in said.splitlines()[0]
    chunk = b"10000\r\n" + b"x" * 65536 + b"\r\n"
    said = real.say(f"{head}Transfer-Encoding: chunked\r\n\r\n".encode(), *[chunk] * (TEN_MB // 65536), b"0\r\n\r\n")
    assert said == b"" or said.splitlines()[0].split()[1] in (b"401", b"404", b"405", b"413", b"303")
    assert flat(real, before_kb, 4.0)
    assert kept(real.shelf) == before
    assert httpx2.get(real.url + "login", timeout=LONG_S).status_code == 200


def test_ten_megabytes_from_one_who_is_let_in_are_cut_off(real: Real) -> None:
    with Access.open(real.shelf.folder / NAME) as access:
        token = access.make_token("large", real.shelf.now_at)
    before, before_kb = kept(real.shelf), real.memory_kb()
    real.forget_peak()
    head = f"{HEAD.format(method='POST', path='/api/jars')}Authorization: Bearer {token}\r\n".replace(
        "x-www-form-urlencoded", "json"
    )
    chunk = b"10000\r\n" + b" " * 65536 + b"\r\n"
    said = real.say(f"{head}Transfer-Encoding: chunked\r\n\r\n".encode(), *[chunk] * (TEN_MB // 65536), b"0\r\n\r\n")

    assert said == b"" or b" 413 " in said.splitlines()[0]
    assert flat(real, before_kb, 6.0)
    assert kept(real.shelf) == before


def test_ten_thousand_fields_are_not_even_sorted(real: Real) -> None:
    before, before_kb = kept(real.shelf), real.memory_kb()
    real.forget_peak()
    many = "&".join(f"a{number}=" for number in range(7000)) + "&b=" * 3000
    assert len(many) < 64 * 1024
    answer = httpx2.post(
        real.url + "login", content=many, headers={"content-type": "application/x-www-form-urlencoded"}, timeout=LONG_S
    )

    assert answer.status_code == 400
    assert flat(real, before_kb, 8.0)
    assert kept(real.shelf) == before


@pytest.mark.parametrize(
    "lines",
    [
        "",  # no length at all: there is no body
        "Content-Length: \r\n",
        "Content-Length: ten\r\n",
        "Content-Length: -1\r\n",
        "Content-Length: 5\r\nContent-Length: 6\r\n",
        "Content-Length: 5\r\nTransfer-Encoding: chunked\r\n",
        "Transfer-Encoding: identity\r\n",
        "X-Long: " + "x" * 100_000 + "\r\n",
        "".join(f"X-{number}: 1\r\n" for number in range(10_000)),
    ],
)
def test_headers_that_lie_about_a_body_or_have_no_end_lead_nowhere(real: Real, lines: str) -> None:
    before, before_kb = kept(real.shelf), real.memory_kb()
    real.forget_peak()
    said = real.say(f"{HEAD.format(method='POST', path='/login')}{lines}\r\nmark=".encode())

    assert said == b"" or said.splitlines()[0].split()[1] in (b"400", b"411", b"413", b"422", b"431", b"501")
    assert flat(real, before_kb, 4.0)
    assert kept(real.shelf) == before
    assert httpx2.get(real.url + "login", timeout=LONG_S).status_code == 200
