"""What share of a core a station takes."""

from tests.bench.lives import BARE_LOOP, SCRIPTED, WATCH, WITH_BROKER, lived
from tests.bench.memory import NAMES, SECONDS
from tests.bench.report import Goal, Line, Report

GOAL = Goal("at most", 1.0)
TICK_PCT_S = 1.0
"""The kernel counts processor time in hundredths of a second: 1 % of a core for a second."""


def measured(seconds: float = SECONDS) -> Report:
    """Ask what the stations' minute costs.

    Args:
        seconds: how long they are looked at.
    """
    lives = lived(seconds)
    bare_pct = max(lives[BARE_LOOP].core_pct, TICK_PCT_S / seconds)
    return Report(
        "processor",
        f"processes of their own at real pace over {seconds:g} s with one kept minute; it holds the jars' dates, which "
        "are made once an hour",
        "a Python loop that sleeps 10 s (or one tick of the kernel's count, if it took none)",
        tuple(
            Line(NAMES[what], lives[what].core_pct, "% of a core", bare_pct, GOAL)
            for what in (WATCH, WITH_BROKER, SCRIPTED)
        ),
    )
