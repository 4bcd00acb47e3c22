"""A season walked through the pages as a grower walks it, from link to link: no address is typed but the first."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from dashboard.lent import Lent
from station.cli.lending import played
from tests.browser.visiting import WAIT_MS, Scheme, a_visit
from tests.dashboard.world import Shelf, a_day_of

COMFREY = re.compile("^Comfrey")
"""A jar's card begins with its plant."""


class Walk:
    """One grower with one device.

    Args:
        page: a browser window that fails on any complaint or outside request.
        shelf: whose time goes on between two steps.
        width: of the window; nothing may stick out of it.
        script: whether pages may run theirs.
    """

    def __init__(self, page: Page, shelf: Shelf, width: int, *, script: bool) -> None:
        self.page, self.shelf, self._width, self.script = page, shelf, width, script
        self._days = 0.0

    def wait(self, days: float, temp_c: float = 20.0) -> None:
        """Let days go by on the shelf."""
        self.shelf.live(a_day_of(temp_c, days=days, from_day=self._days))
        self._days += days

    def to(self, *links: str | re.Pattern[str]) -> None:
        """Follow links by what is written on them."""
        for link in links:
            self.page.get_by_role("link", name=link, exact=True).first.click()
            self.fits()

    def press(self, button: str) -> None:
        """Press a button."""
        self.page.get_by_role("button", name=button, exact=True).first.click()
        self.fits()

    def fill(self, label: str, words: str) -> None:
        """Fill in the field whose label begins so."""
        self.page.get_by_label(re.compile(rf"^{label}")).first.fill(words)

    def tap(self, question: str, answer: str) -> None:
        """Choose an answer by its chip."""
        name = re.compile(f"^{answer}$", re.IGNORECASE)
        self.page.get_by_role("group", name=question).get_by_role("radio", name=name).check()

    def reads(self, words: str | re.Pattern[str]) -> None:
        """Expect words on the page; with script they may come a moment later."""
        expect(self.page.get_by_role("main")).to_contain_text(words, timeout=WAIT_MS)
        self.fits()

    def fits(self) -> None:
        """Expect that nothing has to be pushed sideways."""
        self.page.wait_for_load_state("load")
        assert self.page.evaluate("document.documentElement.scrollWidth") <= self._width, self.page.url


@pytest.mark.parametrize(
    ("width", "scheme", "script"),
    [(390, "dark", True), (1280, "light", False)],
    ids=["a phone at dusk", "a desk by day, without script"],
)
def test_a_season_is_walked_from_the_first_jar_to_the_look_back(
    browser: Browser, served: Callable[[Shelf], str], tmp_path: Path, width: int, scheme: Scheme, script: bool
) -> None:
    player = Lent(lambda stretch: played(tmp_path / "shelf.db", stretch))
    shelf = replace(Shelf(tmp_path), lent=player)
    with a_visit(browser, width, scheme, script=script) as page:
        walk = Walk(page, shelf, width, script=script)
        page.set_default_timeout(WAIT_MS)
        walk.wait(0.1)
        page.goto(served(shelf))
        for step in (pack, note, strain_and_judge, bottle, dilute_and_feed, set_up_a_round, try_it, answer, look_back):
            step(walk)


def pack(walk: Walk) -> None:
    walk.to("Pack a jar")
    walk.fill("Plant", "comfrey")
    walk.fill("Weight of the plant", "260")
    walk.tap("Jar", "2 L")
    if not walk.script:
        walk.press("Work it out")
    walk.reads("260\u00a0g")  # equal weights for juicy leaves: common practice
    walk.press("Pack it")
    walk.reads("never drink the juice")


def note(walk: Walk) -> None:
    walk.wait(6.0)
    walk.to("Jars", COMFREY)
    walk.to("Note what you see")
    walk.tap("Smell", "yeasty")
    walk.tap("Bubbles", "none")
    walk.press("Note it")
    walk.reads("Smell yeasty, bubbles none")


def strain_and_judge(walk: Walk) -> None:
    walk.to("Shelf", re.compile("Strain comfrey"))
    walk.press("It is in the strainer")
    walk.reads("Draining since")
    walk.wait(0.5)
    walk.to("Jars", COMFREY, "Judge the time")
    walk.tap("Judged", "right")
    walk.press("Keep it")


def bottle(walk: Walk) -> None:
    walk.to("Collect the juice")
    walk.fill("Bottle 1", "160")
    walk.press("Write it down")
    walk.to("comfrey-1-a")
    walk.reads("160\u00a0mL")


def dilute_and_feed(walk: Walk) -> None:
    walk.to("Bottles", "Mix a can")
    walk.fill("Can", "5 L")
    if not walk.script:
        walk.press("Work it out")
    walk.reads("4.99\u00a0L")  # one part and 500 parts of water fill 5 L: 5 × 500 / 501
    walk.to("Feed with it")
    walk.tap("How", "Drench")
    walk.fill("To which plants", "tomatoes")
    walk.press("Write it down")
    walk.reads("tomatoes")
    walk.to("Bottles")
    walk.reads("150\u00a0mL left")


def set_up_a_round(walk: Walk) -> None:
    walk.to("Feeding", "Set up a round")
    walk.fill("To which plants", "beans")
    walk.press("Set it up")
    walk.reads("Leaf spray, beans")


def try_it(walk: Walk) -> None:
    walk.to("Trials", "Sow a trial")
    walk.fill("Which seeds", "lettuce")
    for dishes in walk.page.get_by_label("Seeds in each dish").all()[:2]:
        dishes.fill("20")
    walk.press("They are sown")
    walk.wait(4.0)
    walk.to("Trials", "Count")
    walk.fill("Soaked", "18")
    walk.fill("Plain", "13")
    walk.press("Keep the count")
    walk.reads("18 of 20")
    walk.reads("That is not proof that there is none.")


def answer(walk: Walk) -> None:
    walk.wait(0.1, temp_c=12.0)
    walk.to("Shelf")
    walk.reads("cold")
    walk.to("Alerts")
    walk.press("Acknowledge")
    walk.reads("Acknowledged")


def look_back(walk: Walk) -> None:
    walk.to("Climate", "What if …")
    walk.fill("What if cold began", "10")
    walk.press("Play it")
    walk.reads("What would have been different")
    walk.page.get_by_label("Slide through the days").focus()
    walk.page.keyboard.press("Home")
    if not walk.script:
        walk.press("Show this moment")
    walk.reads("As it was")
