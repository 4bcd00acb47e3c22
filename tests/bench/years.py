"""Model years: the air on a scenario's shelf from New Year to New Year, as a log that `backtest` reads."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from sim.scenario import Scenario, load
from sim.world import World
from station.domain.readings import Reading

YEARS = (
    "damp-cellar",
    "cold-scullery-march",
    "no-network-time",
    "heatwave-loft",
    "window-sill-may",
    "ordinary-kitchen",
)
"""Every room that comes with Jarside, the coldest first; the dying sensor stands in the ordinary kitchen."""
EVERY_S = 600.0
YEAR_DAYS = 365.0


def a_year(name: str, days: float = YEAR_DAYS) -> list[Reading]:
    """Return a scenario's shelf from New Year on, every ten minutes, to a tenth of a degree.

    Args:
        name: the scenario's name. Its special spells of weather are left out: they belong to its own dates.
        days: how long.
    """
    scenario = load(name)
    quiet = replace(scenario.climate, spells=())
    return list(_lived(replace(scenario, start_at=datetime(2026, 1, 1, tzinfo=UTC), climate=quiet, jars=()), days))


def _lived(scenario: Scenario, days: float) -> Iterator[Reading]:
    world = World(scenario)
    for number in range(1, round(days * 86400.0 / EVERY_S) + 1):
        elapsed_s = number * EVERY_S
        temp_c = round(world.at(elapsed_s).temp_c, 1)
        at = scenario.start_at + timedelta(seconds=elapsed_s)
        yield Reading(at, scenario.name, elapsed_s, temp_c, None, None, 60, span_s=EVERY_S)
