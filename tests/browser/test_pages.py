"""Every page in every state, as a person meets it: narrow and wide, light and dark, with and without script."""

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from tests.browser.visiting import RULES, WAIT_MS, Scheme, a_visit, both_schemes, narrow_and_wide, open_everything
from tests.builders import a_reading
from tests.dashboard.places import SHELF as PAGES
from tests.dashboard.world import Shelf, at

every_state = pytest.mark.parametrize("state", list(PAGES))


@every_state
@narrow_and_wide
@both_schemes
def test_every_page_is_quiet_and_can_be_used_by_everybody(
    browser: Browser, states: dict[str, str], state: str, width: int, scheme: Scheme
) -> None:
    with a_visit(browser, width, scheme) as page:
        for path in PAGES[state]:
            page.goto(states[state].rstrip("/") + path)
            open_everything(page)
            results = Axe().run(page, options=RULES)
            assert results.violations_count == 0, f"{path}\n{results.generate_report()}"


@every_state
def test_no_page_has_to_be_pushed_sideways(browser: Browser, states: dict[str, str], state: str) -> None:
    with a_visit(browser) as page:
        for path in PAGES[state]:
            page.goto(states[state].rstrip("/") + path)
            open_everything(page)
            for width in (360, 390, 768, 1280, 1600):
                page.set_viewport_size({"width": width, "height": 844})
                assert page.evaluate("document.documentElement.scrollWidth") <= width, f"{path} at {width}"


@both_schemes
@pytest.mark.parametrize("daylight", ["night", "dawn", "day", "dusk"])
def test_words_on_the_wall_can_be_read_at_every_hour(
    browser: Browser, states: dict[str, str], scheme: Scheme, daylight: str
) -> None:
    """Contrast of 4.5 (WCAG 2.2, 1.4.3), worked out here because axe does not judge text on a gradient."""
    with a_visit(browser, scheme=scheme) as page:
        page.goto(states["kitchen"])
        kitchen = page.locator(".kitchen")
        kitchen.evaluate("(one, name) => { one.className = `kitchen ${name}`; }", daylight)
        colours = "(one, name) => getComputedStyle(one).getPropertyValue(name).trim()"
        walls = [luminance(kitchen.evaluate(colours, name)) for name in ("--wall", "--wall-low")]
        inks = [luminance(kitchen.evaluate(colours, name)) for name in ("--wall-ink", "--wall-soft-ink")]
        for wall in walls:
            for ink in inks:
                assert (max(wall, ink) + 0.05) / (min(wall, ink) + 0.05) >= 4.5


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb` (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@every_state
@narrow_and_wide
def test_every_page_works_without_script(browser: Browser, states: dict[str, str], state: str, width: int) -> None:
    with a_visit(browser, width, script=False) as page:
        for path in PAGES[state]:
            page.goto(states[state].rstrip("/") + path)
            assert page.locator("h1").is_visible()
            assert page.locator("main").inner_text().strip()


@every_state
def test_what_is_touched_is_large_enough_for_wet_hands(browser: Browser, states: dict[str, str], state: str) -> None:
    """44 px each way (WCAG 2.2, target size, enhanced); links within a sentence are its exception."""
    with a_visit(browser) as page:
        for path in PAGES[state]:
            page.goto(states[state].rstrip("/") + path)
            for target in page.locator("a:not(.skip):not(p a), button, summary").all():
                box = target.bounding_box()
                assert box is not None
                assert min(box["width"], box["height"]) >= 44, f"{path}: {target.inner_text()}"


def test_on_a_phone_the_jars_stand_on_several_boards(browser: Browser, states: dict[str, str]) -> None:
    def boards(width: int) -> int:
        with a_visit(browser, width) as page:
            page.goto(states["kitchen"])
            pictures = page.locator(".shelf .jar-picture").all()
            boxes = [box for picture in pictures if (box := picture.bounding_box())]
            assert len(boxes) == 4
            return len({round(box["y"] + box["height"]) for box in boxes})

    assert boards(390) == 2
    assert boards(1280) == 1


def test_a_jar_is_one_tap_away_and_back_leads_back(browser: Browser, states: dict[str, str]) -> None:
    with a_visit(browser) as page:
        page.goto(states["kitchen"])
        page.get_by_role("link", name="Stinging nettle day 7").click()
        assert page.get_by_role("heading", level=1).inner_text() == "Stinging nettle"
        page.go_back()
        assert "The shelf is fine" in page.get_by_role("heading", level=1).inner_text().replace("\u00a0", " ")


def test_the_first_tab_offers_to_skip_to_the_content(browser: Browser, states: dict[str, str]) -> None:
    with a_visit(browser, 1280) as page:
        page.goto(states["kitchen"])
        page.keyboard.press("Tab")
        skip = page.get_by_role("link", name="Skip to the content")
        box = skip.bounding_box()
        assert box is not None
        assert box["x"] >= 0
        page.keyboard.press("Enter")
        page.wait_for_url("**/#main")


def test_words_on_the_drawings_are_not_markup(browser: Browser, states: dict[str, str]) -> None:
    with a_visit(browser) as page:
        page.goto(states["sunlit"])
        assert page.locator("main i").count() == 0
        assert "<i>with flowers</i>" in page.locator(".shelf").inner_text()


def test_the_sun_falls_on_the_shelf_only_when_it_does(browser: Browser, states: dict[str, str]) -> None:
    with a_visit(browser) as page:
        page.goto(states["sunlit"])
        assert page.locator(".beam").count() == 1
        page.goto(states["kitchen"])
        assert page.locator(".beam").count() == 0


def test_a_new_reading_shows_by_itself_and_the_keyboard_keeps_its_place(
    browser: Browser, served: Callable[[Shelf], str], tmp_path: Path
) -> None:
    shelf = Shelf(tmp_path)
    shelf.pack("comfrey", at(0))
    shelf.live([a_reading(minute, temp_c=20.0) for minute in range(3)])
    with a_visit(browser) as page:
        page.goto(served(shelf))
        page.wait_for_load_state("load")
        page.locator("a.stands").nth(1).focus()
        shelf.live([a_reading(3, temp_c=21.5)])
        expect(page.get_by_role("heading", level=1)).to_contain_text("21.5", timeout=WAIT_MS)
        assert page.evaluate("document.activeElement.getAttribute('href')") == "/jars/comfrey-1"


def test_motion_stops_for_those_who_asked_for_less(browser: Browser, states: dict[str, str]) -> None:
    with a_visit(browser) as page:
        page.goto(states["kitchen"])
        assert page.locator(".bubble, .drop").count() > 0
        assert page.evaluate("document.getAnimations().length") == 0
