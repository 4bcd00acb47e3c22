"""The door, walked through by a person: with and without script, narrow and wide, light and dark."""

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from station.store.access import Access
from station.store.access_file import NAME
from tests.browser.visiting import RULES, WAIT_MS, Scheme, a_visit, both_schemes, narrow_and_wide
from tests.dashboard.doors import WORDS, a_token, protect
from tests.dashboard.world import Shelf


def log_in(page: Page, words: str = WORDS) -> None:
    """Type a passphrase and send it."""
    page.get_by_label("Passphrase").fill(words)
    page.get_by_role("button", name="Log in").click()


def heading(page: Page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


@pytest.mark.parametrize("script", [True, False])
def test_a_passphrase_is_set_and_asked_for(
    browser: Browser, served: Callable[[Shelf], str], tmp_path: Path, script: bool
) -> None:
    url = served(Shelf(tmp_path)).rstrip("/")
    with a_visit(browser, script=script) as page:
        page.goto(url)
        page.get_by_role("link", name="Access").click()
        page.get_by_label("The new passphrase").fill(WORDS)
        page.get_by_label("The new one again").fill(WORDS)
        page.get_by_role("button", name="Set it").click()
        assert page.get_by_text("These pages ask for a passphrase.").is_visible()
        page.get_by_role("button", name="Log out").click()
        assert heading(page) == "Who is there?"
        page.goto(f"{url}/climate?span=week")
        log_in(page)
        assert page.url == f"{url}/climate?span=week"
        page.go_back()
        assert page.url != f"{url}/login", "who is let in is not asked again"


def test_a_wrong_passphrase_is_said_beside_it_and_the_field_is_read_out(
    browser: Browser, served: Callable[[Shelf], str], tmp_path: Path
) -> None:
    protect(Shelf(tmp_path))
    with browser.new_context() as context:  # its console tells that somebody was not let in, as it should
        page = context.new_page()
        page.goto(served(Shelf(tmp_path)))
        log_in(page, "something else")
        field = page.get_by_label("Passphrase")
        assert field.input_value() == ""
        assert "That is not the passphrase" in page.locator(f"#{field.get_attribute('aria-describedby')}").inner_text()


def test_a_page_that_stays_open_asks_for_the_passphrase_once_its_session_has_ended(
    browser: Browser, served: Callable[[Shelf], str], tmp_path: Path
) -> None:
    """Else it would show the shelf as it was then, for as long as somebody looks at it."""
    protect(Shelf(tmp_path))
    with browser.new_context() as context:  # its console tells that somebody was not let in, as it should
        page, can = context.new_page(), context.new_page()
        page.goto(served(Shelf(tmp_path)))
        log_in(page)
        assert "Who is there?" not in heading(page)
        can.goto(f"{page.url}feeding/can")
        with Access.open(tmp_path / NAME) as access:
            access.end_others("")
        for water in ("5", "6"):  # by the time the second is answered, something was done with the first
            with can.expect_response(lambda answer: "/login" in answer.url):
                can.get_by_label("Water, L").fill(water)
        assert can.get_by_role("heading", level=1).all_inner_texts() == ["Mix a can"]
        page.wait_for_url(lambda url: url.endswith("/login?next=/"), timeout=WAIT_MS)


@narrow_and_wide
@both_schemes
def test_the_door_is_quiet_and_can_be_used_by_everybody(
    browser: Browser, served: Callable[[Shelf], str], tmp_path: Path, width: int, scheme: Scheme
) -> None:
    shelf = Shelf(tmp_path)
    a_token(shelf, "a meter in the shed with a longish name")
    url = served(shelf).rstrip("/")
    with a_visit(browser, width, scheme) as page:
        page.goto(f"{url}/access")
        look(page, width)
        protect(shelf)
        page.goto(f"{url}/")
        look(page, width)
        log_in(page)
        with a_visit(browser, width, scheme) as other:
            other.goto(f"{url}/")
            log_in(other)
        page.goto(f"{url}/access")
        assert page.get_by_role("button", name="End all others").is_visible()
        look(page, width)


def look(page: Page, width: int) -> None:
    """See that a page has no fault that axe knows, fits, and can be touched."""
    results = Axe().run(page, options=RULES)
    assert results.violations_count == 0, results.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for target in page.locator("main button, main input:not([type=hidden], [hidden])").all():
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44
