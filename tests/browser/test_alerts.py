"""The alerts page of a cloudy day in a browser: one line of the past that opens."""

import re
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from station.domain.readings import Reading
from tests.browser.visiting import RULES, Scheme, a_visit, both_schemes, narrow_and_wide
from tests.builders import a_reading
from tests.dashboard.world import Shelf

SUN, DARK = 10, 30
"""Minutes: longer than sun is held before it is raised, and before it clears."""


def a_cloudy_noon(spells: int) -> Iterator[Reading]:
    """Readings of a shelf on which the sun comes and goes, from four hours after START."""
    for minute in range(spells * (SUN + DARK)):
        yield a_reading(240 + minute, light_lx=20_000.0 if minute % (SUN + DARK) < SUN else 100.0)


@pytest.fixture(scope="module")
def cloudy(tmp_path_factory: pytest.TempPathFactory, served: Callable[[Shelf], str]) -> str:
    """Where a shelf is served that the sun reached three times on one day."""
    shelf = Shelf(tmp_path_factory.mktemp("cloudy"))
    shelf.live(a_cloudy_noon(3))
    return served(shelf).rstrip("/")


@narrow_and_wide
@both_schemes
def test_a_day_of_clouds_is_one_line_that_opens_by_keyboard(
    browser: Browser, cloudy: str, width: int, scheme: Scheme
) -> None:
    with a_visit(browser, width, scheme) as page:
        page.goto(f"{cloudy}/alerts")
        past = page.get_by_role("region", name="Past: May 2026")
        each = past.get_by_text(re.compile("^The shelf was in direct sun( again)?: 20,000"))
        expect(past.get_by_role("heading", name="Mon 4 May")).to_be_visible()
        expect(past.get_by_text(re.compile(r"direct sun 3\stimes"))).to_be_visible()
        expect(each).to_have_count(3)
        expect(each.first).to_be_hidden()
        past.locator("summary").focus()
        page.keyboard.press("Enter")
        expect(each.first).to_be_visible()
        results = Axe().run(page, options=RULES)
        assert results.violations_count == 0, results.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
