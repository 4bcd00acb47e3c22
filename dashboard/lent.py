"""What the pages can do only with the help of layers they know nothing of: handed to the app as functions."""

from collections.abc import Callable
from dataclasses import dataclass

from dashboard.playing import Played, Stretch
from station.config import Settings
from station.domain.way import Way


@dataclass(frozen=True, slots=True)
class Lent:
    """Each may be missing; a page then says what is not to be had.

    Args:
        play: plays a stretch of the log through the station's rules.
        test_ways: sends a test on every way to people and programs, and says how each is doing after it.
        settings: reads the settings anew, with what was set on the pages or as the settings file alone has them.
    """

    play: Callable[[Stretch], Played] | None = None
    test_ways: Callable[[], tuple[Way, ...]] | None = None
    settings: Callable[[bool], Settings] | None = None


NOTHING = Lent()
