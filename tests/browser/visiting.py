"""Visits with a real browser: how wide, in which light, and that no page complains."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page

Scheme = Literal["light", "dark"]
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], "resultTypes": ["violations"]}
WAIT_MS = 20_000
narrow_and_wide = pytest.mark.parametrize("width", [390, 1280])
both_schemes = pytest.mark.parametrize("scheme", ["light", "dark"])


@contextmanager
def a_visit(browser: Browser, width: int = 390, scheme: Scheme = "light", *, script: bool = True) -> Iterator[Page]:
    """A fresh browser window; it fails if a page complains, or asks anybody else for anything."""
    context = browser.new_context(
        viewport={"width": width, "height": 844},
        color_scheme=scheme,
        java_script_enabled=script,
        reduced_motion="reduce",
    )
    page = context.new_page()
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    try:
        yield page
        assert not said, said
        strange = [url for url in asked if not url.startswith("http://127.0.0.1:")]
        assert not strange, strange
        assert asked
    finally:
        context.close()


def open_everything(page: Page) -> None:
    """Unfold whatever is folded."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
