"""A real browser and real servers on loopback."""

import os
import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from dashboard.app import create_app
from dashboard.serve import Serving
from tests.dashboard.world import Shelf, a_kitchen, a_sunlit_shelf

QUIETLY = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
"""A browser on its own asks for updates; this one asks for nothing but what a page asks for."""


USUAL_LOOKS = ((390, "dark"), (1280, "light"))
"""Where a test is made for every width and scheme, these two are looked at each time and the other two with --long."""


@pytest.hookimpl(tryfirst=True)  # so that the switch for all tests sees which of these are long
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.browser)
            if _unusual(item):
                item.add_marker(pytest.mark.long)


def _unusual(item: pytest.Item) -> bool:
    call = getattr(item, "callspec", None)
    looks = (call.params.get("width"), call.params.get("scheme")) if call else (None, None)
    return None not in looks and looks not in USUAL_LOOKS


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, as the system has it."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None and os.environ.get("CI") == "true":
        pytest.fail("browser: there is no chromium here, and on a build machine there must be")
    if path is None:
        pytest.skip("browser: needs chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=QUIETLY)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def served() -> Iterator[Callable[[Shelf], str]]:
    """Serve a shelf and return where."""
    running: list[tuple[Serving, threading.Thread]] = []

    def serve(shelf: Shelf) -> str:
        server = Serving(
            create_app(shelf.settings, shelf.folder, lambda: shelf.now_at, lent=shelf.lent), "127.0.0.1", 0
        )
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        running.append((server, thread))
        return server.url

    yield serve
    for server, thread in running:
        server.stop()
        thread.join(20)


@pytest.fixture(scope="session")
def states(tmp_path_factory: pytest.TempPathFactory, served: Callable[[Shelf], str]) -> dict[str, str]:
    """Where a shelf of each state is served: by its name."""
    folder = tmp_path_factory.mktemp("states")
    names = ("kitchen", "sunlit", "empty")
    for name in names:
        (folder / name).mkdir()
    return {
        "kitchen": served(a_kitchen(folder / "kitchen")),
        "sunlit": served(a_sunlit_shelf(folder / "sunlit")),
        "empty": served(Shelf(folder / "empty")),
    }
