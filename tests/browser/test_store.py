"""Bottles, feeding, trials and plants in a browser: by thumb, with and without script."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from tests.browser.visiting import RULES, WAIT_MS, Scheme, a_visit, both_schemes, narrow_and_wide, open_everything
from tests.dashboard.forming import left_ml
from tests.dashboard.pantry import a_pantry
from tests.dashboard.places import STORE as PAGES
from tests.dashboard.world import Shelf, at

with_and_without = pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory, served: Callable[[Shelf], str]) -> str:
    """Where a full pantry is served, for looking only."""
    return served(a_pantry(tmp_path_factory.mktemp("stored"))).rstrip("/")


@pytest.fixture
def pantry(tmp_path: Path) -> Shelf:
    return a_pantry(tmp_path)


@narrow_and_wide
@both_schemes
def test_the_store_can_be_used_by_everybody(browser: Browser, stored: str, width: int, scheme: Scheme) -> None:
    with a_visit(browser, width, scheme) as page:
        for path in PAGES:
            page.goto(stored + path)
            open_everything(page)
            results = Axe().run(page, options=RULES)
            assert results.violations_count == 0, f"{path}\n{results.generate_report()}"


def test_nothing_in_the_store_has_to_be_pushed_sideways(browser: Browser, stored: str) -> None:
    with a_visit(browser) as page:
        for path in PAGES:
            page.goto(stored + path)
            open_everything(page)
            for width in (360, 390, 768, 1280, 1600):
                page.set_viewport_size({"width": width, "height": 844})
                assert page.evaluate("document.documentElement.scrollWidth") <= width, f"{path} at {width}"


def test_what_is_touched_in_the_store_is_large_enough_for_wet_hands(browser: Browser, stored: str) -> None:
    """44 px each way (WCAG 2.2, target size, enhanced); links within a sentence are its exception."""
    targets = "a:not(.skip):not(p:not(.doings) a), button, summary, main input:not([type=hidden]), main select"
    with a_visit(browser) as page:
        for path in PAGES:
            page.goto(stored + path)
            open_everything(page)
            for target in page.locator(targets).all():
                box = target.bounding_box()
                assert box is not None, path
                tick = target.get_attribute("type") == "checkbox"  # its label is the target
                assert tick or min(box["width"], box["height"]) >= 44, f"{path}: {target.evaluate('e => e.outerHTML')}"


def test_eight_pages_fit_above_a_narrow_phone(browser: Browser, stored: str) -> None:
    with a_visit(browser, 360) as page:
        page.goto(f"{stored}/bottles")
        boxes = [box for link in page.locator(".top nav a").all() if (box := link.bounding_box())]
        assert len(boxes) == 8
        assert len({round(box["y"]) for box in boxes}) == 2
        assert all(box["x"] >= 0 and box["x"] + box["width"] <= 360 for box in boxes)


@narrow_and_wide
@with_and_without
def test_a_bottle_is_used_from_its_page(
    browser: Browser, served: Callable[[Shelf], str], pantry: Shelf, width: int, script: bool
) -> None:
    with a_visit(browser, width, script=script) as page:
        page.goto(f"{served(pantry).rstrip('/')}/bottles")
        page.get_by_role("link", name="comfrey-1-a").click()
        page.get_by_role("link", name="Take some out").click()
        page.get_by_label("How much").fill("30 mL")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("70 mL (2.37 fl oz) left")).to_be_visible()


def test_more_than_is_left_is_refused_in_place_until_it_is_meant(
    browser: Browser, served: Callable[[Shelf], str], pantry: Shelf
) -> None:
    with a_visit(browser) as page:
        page.goto(f"{served(pantry).rstrip('/')}/bottles/comfrey-1-a/use")
        page.get_by_label("How much").fill("130 mL")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("100 mL (3.38 fl oz) are left")).to_be_visible()
        assert page.get_by_label("How much").input_value() == "130 mL"
        assert Axe().run(page, options=RULES).violations_count == 0
        page.get_by_label("More was taken than was written in").check()
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Comfrey")


def test_a_can_is_worked_out_while_it_is_typed(browser: Browser, stored: str) -> None:
    with a_visit(browser) as page:
        page.goto(f"{stored}/feeding/can")
        page.get_by_label("Can, L").fill("5 L")
        expect(page.get_by_role("heading", name="For a can of 5 L")).to_be_visible(timeout=WAIT_MS)
        page.get_by_label("the whole mix: 1 in 500").check()
        expect(page.get_by_text("one part in 500 of the whole, so 499 of water")).to_be_visible(timeout=WAIT_MS)
        page.get_by_label("Can, L").fill("five")
        expect(page.get_by_text("'five' is not a volume")).to_be_visible(timeout=WAIT_MS)


def test_a_can_is_worked_out_without_script(browser: Browser, stored: str) -> None:
    with a_visit(browser, script=False) as page:
        page.goto(f"{stored}/feeding/can")
        page.get_by_label("Juice, mL").fill("20 mL")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_text("10 L (2.64 gal)")).to_be_visible()


@narrow_and_wide
@with_and_without
def test_a_round_is_done_and_the_juice_is_gone_from_its_bottle(
    browser: Browser, served: Callable[[Shelf], str], pantry: Shelf, width: int, script: bool
) -> None:
    with a_visit(browser, width, script=script) as page:
        page.goto(f"{served(pantry).rstrip('/')}/feeding")
        page.get_by_role("listitem").filter(has_text="beans: due now").get_by_role("link", name="Done").click()
        page.get_by_label("Juice from").select_option("comfrey-1-a")
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("beans: next 10 Jun to 13 Jun")).to_be_visible()
        expect(page.locator("#feed-4")).to_contain_text("Leaf spray, beans")
    assert left_ml(pantry.folder, "comfrey-1-a") == pytest.approx(90.0)


def test_soaking_seeds_are_counted_down_and_may_come_out(
    browser: Browser, served: Callable[[Shelf], str], pantry: Shelf
) -> None:
    with a_visit(browser) as page:
        page.goto(f"{served(pantry).rstrip('/')}/feeding")
        left = page.locator(".soak .left")
        expect(left).to_have_text(re.compile(r"00:09:5\d left"), timeout=WAIT_MS)
        pantry.now_at = at(30, hours=1, minutes=10)
        page.reload()
        expect(page.get_by_role("heading", name="Lettuce seeds: may come out")).to_be_visible()


def test_soaking_seeds_say_their_times_without_script(browser: Browser, stored: str) -> None:
    with a_visit(browser, script=False) as page:
        page.goto(f"{stored}/feeding")
        expect(page.locator(".soak")).to_contain_text("they may come out from 08:10, and must by 19:50. 10 min left")


@narrow_and_wide
@with_and_without
def test_a_trial_is_sown_counted_and_judged(
    browser: Browser, served: Callable[[Shelf], str], pantry: Shelf, width: int, script: bool
) -> None:
    with a_visit(browser, width, script=script) as page:
        page.goto(f"{served(pantry).rstrip('/')}/trials")
        page.get_by_role("link", name="Sow a trial").click()
        page.get_by_label("Which seeds").fill("beans")
        for dishes in page.get_by_label("Seeds in each dish").all()[:2]:
            dishes.fill("20")
        page.get_by_role("button", name="They are sown").click()
        expect(page.get_by_text("Nothing has been counted yet.")).to_be_visible()
        page.get_by_role("link", name="Count").click()
        page.get_by_label("Soaked").fill("18")
        page.get_by_label("Plain").fill("13")
        page.get_by_role("button", name="Keep the count").click()
        expect(page.get_by_text("That is not proof that there is none.")).to_be_visible()
        expect(page.get_by_role("img", name="Germination of beans")).to_be_visible()
        page.go_back()
        expect(page.get_by_role("heading", level=1)).to_contain_text("beans", ignore_case=True)


@with_and_without
def test_a_plant_of_ones_own_is_added_and_mixed(
    browser: Browser, served: Callable[[Shelf], str], pantry: Shelf, script: bool
) -> None:
    with a_visit(browser, script=script) as page:
        page.goto(f"{served(pantry).rstrip('/')}/plants")
        page.get_by_role("link", name="Add one of your own").click()
        page.get_by_label("Name", exact=True).fill("lemon balm")
        page.get_by_label("Dry").check()
        page.get_by_role("button", name="Keep it").click()
        page.get_by_text("Lemon balm").click()
        page.locator("details[open]").get_by_role("link", name="Mix").click()
        page.get_by_label("Weight of the plant").fill("300g")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_text("200 g (7.1 oz), plant to sugar 3 : 2")).to_be_visible()
