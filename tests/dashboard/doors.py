"""A shelf with a passphrase, and browsers and programs at its door."""

from collections.abc import Iterator
from contextlib import contextmanager

from argon2 import PasswordHasher
from fastapi.testclient import TestClient
from httpx2 import Response

from dashboard.app import create_app
from station.store.access import Access
from station.store.access_file import NAME
from tests.dashboard.forming import mark_of
from tests.dashboard.world import Shelf

WORDS = "plum lantern gravel nine"
URL = "http://127.0.0.1:8420"
QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
"""A hash tells how it was made, so that pages compare passphrases as quickly as it was."""


def protect(shelf: Shelf, words: str = WORDS) -> None:
    """Set a passphrase, as the command does."""
    with Access.open(shelf.folder / NAME, QUICK) as access:
        access.set_passphrase(words)


def a_token(shelf: Shelf, name: str = "meter") -> dict[str, str]:
    """Make a token, and return the header that shows it."""
    with Access.open(shelf.folder / NAME) as access:
        return {"authorization": f"Bearer {access.make_token(name, shelf.now_at)}"}


@contextmanager
def browsers(shelf: Shelf, count: int = 1, address: str = "127.0.0.1") -> Iterator[list[TestClient]]:
    """Lend browsers of one address, each with cookies of its own, before one running dashboard."""
    app = create_app(shelf.settings, shelf.folder, lambda: shelf.now_at)
    with TestClient(app):
        yield [a_browser(app, address) for _ in range(count)]


def a_browser(app: object, address: str = "127.0.0.1") -> TestClient:
    """Return a browser that goes nowhere by itself."""
    return TestClient(
        app,  # type: ignore[arg-type]
        base_url=URL,
        client=(address, 50000),
        follow_redirects=False,
        raise_server_exceptions=False,
        headers={"origin": URL, "user-agent": "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"},
    )


def send(browser: TestClient, form_at: str, to: str = "", **fields: str) -> Response:
    """Open a page with a form, and send the form."""
    return browser.post(to or form_at, data={"mark": mark_of(browser.get(form_at).text), **fields})


def log_in(browser: TestClient, words: str = WORDS, after: str = "/") -> Response:
    """Log in."""
    return send(browser, "/login", passphrase=words, next=after)
