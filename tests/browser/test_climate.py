"""The climate, alerts, replay, survey and set-up pages in a browser: read out, answered, slid through, set."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser.visiting import RULES, WAIT_MS, Scheme, a_visit, both_schemes, narrow_and_wide
from tests.dashboard.places import CLIMATE as PAGES
from tests.dashboard.places import a_settable_kitchen
from tests.dashboard.world import Shelf


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory, served: Callable[[Shelf], str]) -> tuple[str, Shelf]:
    """See `a_settable_kitchen`."""
    shelf = a_settable_kitchen(tmp_path_factory.mktemp("whole"))
    return served(shelf).rstrip("/"), shelf


@narrow_and_wide
@both_schemes
def test_every_page_can_be_used_by_everybody(
    browser: Browser, whole: tuple[str, Shelf], width: int, scheme: Scheme
) -> None:
    url, _ = whole
    with a_visit(browser, width, scheme) as page:
        for path in PAGES:
            page.goto(url + path)
            looked_at(page, path, width)


def looked_at(page: Page, path: str, width: int) -> None:
    """Check a page with everything unfolded: by axe, and that it need not be pushed sideways."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    results = Axe().run(page, options=RULES)
    assert results.violations_count == 0, f"{path}\n{results.generate_report()}"
    assert page.evaluate("document.documentElement.scrollWidth") <= width, path


def test_targets_are_large_enough_for_wet_hands(browser: Browser, whole: tuple[str, Shelf]) -> None:
    url, _ = whole
    with a_visit(browser, 360) as page:
        for path in PAGES:
            page.goto(url + path)
            for target in page.locator("a:not(.skip):not(p a), button, summary, input:not([type=hidden])").all():
                box = target.bounding_box()
                if box is not None and target.is_visible():
                    assert min(box["width"], box["height"]) >= 44, f"{path}: {target.evaluate('one => one.outerHTML')}"


def values(page: Page, chart: str) -> str:
    return page.locator(f"section:has([data-chart={chart}]) .values").inner_text().replace("\u00a0", " ")


def test_a_curve_is_read_by_keyboard_and_by_touch(browser: Browser, whole: tuple[str, Shelf]) -> None:
    url, _ = whole
    with a_visit(browser) as page:
        page.goto(f"{url}/climate?span=day&until=2026-05-06")
        slider = page.get_by_role("slider", name="Temperature, step by step")
        slider.focus()
        expect(slider).to_have_attribute("max", "119")  # 120 steps of twelve minutes
        page.keyboard.press("Home")
        # By hand: midnight in Lisbon is 23:00 UTC, ten hours off the warmest: 20 + 1.5 × sin(210°) = 19.25 °C.
        expect(slider).to_have_attribute("aria-valuetext", re.compile(r"^Wed 6 May 00:00: 19\.2 °C"))
        page.keyboard.press("ArrowRight")
        expect(slider).to_have_attribute("aria-valuetext", re.compile(r"^Wed 6 May 00:12: 19\.[12] °C"))
        page.locator("[data-chart=light] svg").scroll_into_view_if_needed()
        box = page.locator("[data-chart=light] svg").bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] * 0.6, box["y"] + 60)
        expect(page.locator("section:has([data-chart=light]) .values")).to_contain_text("Wed 6 May 1")
        assert "lx" in values(page, "light")
        assert page.locator("[data-chart=light] .here").is_visible()


def test_steps_lead_back_and_forward_without_script(browser: Browser, whole: tuple[str, Shelf]) -> None:
    url, _ = whole
    with a_visit(browser, script=False) as page:
        page.goto(f"{url}/climate?span=day&until=2026-05-07")
        page.get_by_role("link", name="Earlier day").click()
        expect(page.locator(".lead")).to_contain_text("Wed")
        page.get_by_role("link", name="Later day").click()
        expect(page.locator(".lead")).to_contain_text("Thu")
        page.go_back()
        expect(page.locator(".lead")).to_contain_text("Wed")
        page.locator("#until").fill("2026-05-05")
        page.get_by_role("button", name="Show it").click()
        expect(page.locator(".lead")).to_contain_text("Tue")
        page.get_by_text("The same as a table").click()
        assert page.locator("table").inner_text().count("\n") >= 24
        assert page.locator("input[type=range]").count() == 0


@pytest.mark.parametrize("script", [True, False])
def test_the_days_are_slid_through(browser: Browser, whole: tuple[str, Shelf], *, script: bool) -> None:
    url, _ = whole
    with a_visit(browser, script=script) as page:
        page.goto(f"{url}/replay")
        page.get_by_label("From", exact=True).fill("2026-05-04")
        page.get_by_label("To", exact=True).fill("2026-05-10")
        page.get_by_label("What if cold began").fill("11")
        page.get_by_role("button", name="Play it").click()
        expect(page.get_by_role("heading", name="What would have been different")).to_be_visible()
        last = page.locator("#when").inner_text()
        page.get_by_label("Slide through the days").focus()
        page.keyboard.press("Home")
        if not script:
            page.get_by_role("button", name="Show this moment").click()
        expect(page.locator("#when")).to_contain_text("Mon")
        assert page.locator("#when").inner_text() != last
        assert "As it was" in page.locator("#frame").inner_text()
        assert page.locator(".unscripted").is_visible() is not script


def test_the_line_on_the_curve_comes_only_with_the_moments(browser: Browser, whole: tuple[str, Shelf]) -> None:
    url, _ = whole
    with a_visit(browser) as page:
        held: list[Route] = []
        page.route("**/replay/frames?*", lambda route: held.append(route))
        with page.expect_request("**/replay/frames?*"):
            page.goto(f"{url}/replay?since=2026-05-04&until=2026-05-10")
        expect(page.locator("#film svg")).to_be_visible()
        expect(page.locator(".here")).to_have_count(0)
        held[0].continue_()
        expect(page.locator(".here")).to_have_count(1, timeout=WAIT_MS)
        at_end = page.locator(".here").bounding_box()
        page.get_by_label("Slide through the days").focus()
        page.keyboard.press("Home")
        expect(page.locator("#when")).to_contain_text("Mon")
        at_begin = page.locator(".here").bounding_box()
        assert at_begin is not None
        assert at_end is not None
        assert at_begin["x"] < at_end["x"]


def test_an_alert_is_put_off_a_way_tested_and_a_limit_set(
    browser: Browser, whole: tuple[str, Shelf], tmp_path: Path
) -> None:
    url, _ = whole
    with a_visit(browser, script=False) as page:
        page.goto(f"{url}/alerts")
        page.get_by_role("button", name="Put off 2 h").first.click()
        expect(page.get_by_text(re.compile(r"^Put off until \d"))).to_be_visible()
        page.get_by_role("button", name="Send a test").click()
        expect(page.get_by_text("The test went out to phone.")).to_be_visible()
        page.goto(f"{url}/setup")
        page.get_by_role("link", name="Change limits, units, place").click()
        page.get_by_label("Too cold below").fill("14")
        page.get_by_label("Tuesday").check()
        page.get_by_role("button", name="Keep these settings").click()
        expect(page.get_by_role("heading", name="Set, and not in use yet")).to_be_visible()
        page.get_by_role("button", name="Make a backup now").click()
        with page.expect_download() as download:
            page.locator("#backups ~ ul a").first.click()
        download.value.save_as(tmp_path / "backup.zip")
    assert (tmp_path / "backup.zip").read_bytes()[:2] == b"PK"
