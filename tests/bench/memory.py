"""How much memory a station takes."""

from tests.bench.lives import BARE_MEMORY, FIRST_DAY, HISTORY_DAYS, SCRIPTED, WATCH, WITH_BROKER, Life, lived
from tests.bench.report import Goal, Line, Report

GOAL = Goal("at most", 45.0)
SECONDS = 65.0
"""Long enough for a minute to be kept, and with it for the jars' dates to be made."""
NAMES = {
    WATCH: f"jarside watch, {HISTORY_DAYS} days of log, two jars",
    WITH_BROKER: "the same with a broker",
    SCRIPTED: "the same with a scripted sensor",
    FIRST_DAY: "jarside watch, first start in an empty folder",
}


def measured(seconds: float = SECONDS) -> Report:
    """Ask what the stations take after a while.

    Args:
        seconds: how long they have lived by then.
    """
    lives = lived(seconds)
    bare = lives[BARE_MEMORY]
    return Report(
        "memory",
        f"processes of their own at real pace, no part configured, mosquitto on the loopback; after {seconds:g} s",
        "python -c, importing sqlite3 and asleep",
        tuple(line for what, name in NAMES.items() for line in _lines(name, lives[what], bare)),
    )


def _lines(name: str, life: Life, bare: Life) -> tuple[Line, Line]:
    numpy = "numpy IS loaded" if life.numpy else "numpy is not loaded"
    return (
        Line(f"{name}: resident", life.rss_mb, "MB", bare.rss_mb, GOAL, numpy),
        Line(f"{name}: proportional", life.pss_mb, "MB", bare.pss_mb),
    )
