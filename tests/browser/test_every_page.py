"""What no other test here looks at: pages before anything is there, the login, refused forms, and dead ends."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.visiting import RULES, Scheme, a_visit, both_schemes, narrow_and_wide, open_everything
from tests.dashboard.doors import WORDS
from tests.dashboard.places import (
    ASKED_WRONG,
    LOGIN,
    OTHERWISE,
    PROTECTED,
    REFUSED,
    WORLDS,
    a_closed_shelf,
)
from tests.dashboard.test_weight import PAGE_MOST
from tests.dashboard.world import Shelf

STATES = tuple(OTHERWISE)
WIDTHS = (360, 390, 768, 1280, 1600)
TARGETS = (
    "a:not(.skip):not(p:not(.doings) a), button, summary, .chips label, .tick,"
    " main :is(input:not([type=hidden], [type=checkbox], [type=radio]), select, textarea)"
)
"""What is tapped; links within a sentence are the exception of WCAG 2.2, 2.5.5. A box's label is its target."""
NOTED = "Failed to load resource: the server responded with a status of"
"""What Chromium itself writes on its console where an answer is a refusal; no page can keep it from that."""

at_dusk = pytest.mark.parametrize(
    ("width", "scheme"),
    [
        (390, "dark"),
        *(pytest.param(*look, marks=pytest.mark.long) for look in ((390, "light"), (1280, "light"), (1280, "dark"))),
    ],
)
"""What is made of the same pieces as pages that are looked at in every way: on a phone at dusk each time."""


@pytest.fixture(scope="module")
def shelves(tmp_path_factory: pytest.TempPathFactory, served: Callable[[Shelf], str]) -> dict[str, str]:
    """Where a shelf of each state is served."""
    found = {state: served(build(tmp_path_factory.mktemp(state))) for state, build in WORLDS.items()}
    found["closed"] = served(a_closed_shelf(tmp_path_factory.mktemp("closed")))
    return {state: url.rstrip("/") for state, url in found.items()}


def looked_at(page: Page, where: str) -> None:
    """Look at a page with everything unfolded: by axe, for targets under 44 px, and that nothing sticks out."""
    open_everything(page)
    results = Axe().run(page, options=RULES)
    assert results.violations_count == 0, f"{where}\n{results.generate_report()}"
    size = page.viewport_size
    assert size is not None
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], where
    small = "(all) => all.filter((one) => { const box = one.getBoundingClientRect(); return box.width > 0"
    small += " && Math.min(box.width, box.height) < 43.9; }).map((one) => one.outerHTML)"
    assert page.locator(TARGETS).evaluate_all(small) == [], where


@pytest.mark.parametrize("state", STATES)
@at_dusk
def test_the_other_pages_can_be_used_by_everybody(
    browser: Browser, shelves: dict[str, str], state: str, width: int, scheme: Scheme
) -> None:
    with a_visit(browser, width, scheme) as page:
        for path in OTHERWISE[state]:
            page.goto(shelves[state] + path)
            looked_at(page, f"{state} {path}")


@pytest.mark.parametrize("state", STATES)
def test_the_other_pages_need_not_be_pushed_sideways_and_work_without_script(
    browser: Browser, shelves: dict[str, str], state: str
) -> None:
    with a_visit(browser, script=False) as page:
        for path in OTHERWISE[state]:
            page.goto(shelves[state] + path)
            assert page.locator("h1").is_visible(), path
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": 844})
                assert page.evaluate("document.documentElement.scrollWidth") <= width, f"{path} at {width}"


@narrow_and_wide
@both_schemes
@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_who_is_let_in_finds_every_page_usable_from_the_login_on(
    browser: Browser, shelves: dict[str, str], width: int, scheme: Scheme, script: bool
) -> None:
    with a_visit(browser, width, scheme, script=script) as page:
        for path in LOGIN:
            page.goto(shelves["closed"] + path)
            if script:
                looked_at(page, path)
        page.get_by_label("Passphrase").fill(WORDS)
        page.get_by_role("button", name="Log in").click()
        page.wait_for_url("**/jars")
        for path in PROTECTED:
            page.goto(shelves["closed"] + path)
            if script:
                looked_at(page, path)


@contextmanager
def a_refusal(browser: Browser, width: int, scheme: Scheme, status: int) -> Iterator[Page]:
    """A visit on which something is refused: nothing is said but what the browser itself notes of that status."""
    context = browser.new_context(
        viewport={"width": width, "height": 844}, color_scheme=scheme, reduced_motion="reduce"
    )
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    assert {text.partition(" (")[0] for text in said} == {f"{NOTED} {status}"}
    context.close()


TYPE_AND_SEND = """(typed) => {
  const form = document.querySelector("main form[method=post]");
  for (const [name, value] of Object.entries(typed)) {
    const last = document.createElement("input");
    Object.assign(last, { type: "hidden", name, value });
    form.append(last);
  }
  form.submit();
}"""
"""Sends a form with words that its fields would not take: of several values with one name the last counts."""


@at_dusk
@pytest.mark.parametrize("state", list(REFUSED))
def test_a_form_that_comes_back_can_be_used_by_everybody(
    browser: Browser, shelves: dict[str, str], state: str, width: int, scheme: Scheme
) -> None:
    with a_visit(browser, width, scheme) as page:
        for path, typed in REFUSED[state].items():
            page.goto(shelves[state] + path)
            with page.expect_response(lambda answer: answer.request.method == "POST") as sent:
                page.evaluate(TYPE_AND_SEND, dict(typed))
            assert sent.value.status == 200, f"{path} {typed}"
            page.locator(".wrong").first.wait_for()
            looked_at(page, f"{state} {path} {typed}")


@pytest.mark.parametrize("state", list(ASKED_WRONG))
@at_dusk
def test_an_address_with_what_cannot_be_says_so_to_everybody(
    browser: Browser, shelves: dict[str, str], state: str, width: int, scheme: Scheme
) -> None:
    for path, status in ASKED_WRONG[state].items():
        visit = a_visit(browser, width, scheme) if status == 200 else a_refusal(browser, width, scheme, status)
        with visit as page:
            answer = page.goto(shelves[state] + path)
            assert answer is not None
            assert answer.status == status, path
            looked_at(page, path)


@both_schemes
def test_a_wrong_passphrase_is_refused_on_a_page_that_can_be_used(
    browser: Browser, shelves: dict[str, str], scheme: Scheme
) -> None:
    with a_refusal(browser, 390, scheme, 422) as page:
        page.goto(shelves["closed"] + "/login")
        page.get_by_label("Passphrase").fill("not the passphrase")
        page.get_by_role("button", name="Log in").click()
        page.locator(".wrong").first.wait_for()
        looked_at(page, "/login refused")


def test_the_first_page_brings_little_over_the_wire(browser: Browser, shelves: dict[str, str]) -> None:
    """All that Chromium itself says it received for the first page, heads and the live stream included."""
    with a_visit(browser) as page:
        session = page.context.new_cdp_session(page)
        received: list[float] = []
        session.on("Network.responseReceived", lambda one: received.append(one["response"]["encodedDataLength"]))
        session.on("Network.dataReceived", lambda one: received.append(one["encodedDataLength"]))
        session.send("Network.enable")
        page.goto(shelves["kitchen"], wait_until="load")
        assert 10_000 < sum(received) < PAGE_MOST
