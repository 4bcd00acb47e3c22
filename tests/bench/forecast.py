"""What one hourly pass costs a jar: its stage, its range and its evening."""

import random
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from statistics import mean

from sim.replay import FixedNotebook, MemoryLog
from station.domain.jars import Jar
from station.domain.outlook import Outlook
from station.domain.paths import DRAWS, HORIZON_DAYS
from station.domain.readings import Reading
from station.domain.warmth import BASES_C, CAP_C
from station.outlooks import Minder
from station.ports import Minute
from tests.bench.kitchens import SETTINGS, readings, two_jars
from tests.bench.report import Goal, Line, Report
from tests.bench.timing import interleaved

GOAL = Goal("at most", 20.0)
START = datetime(2026, 5, 4, tzinfo=UTC)
HISTORY_H = 14 * 24
HISTORY_MINUTES = 60 * HISTORY_H


def measured(hours: int = 7 * 24, rounds: int = 3) -> Report:
    """Follow one jar, and four, hour by hour from packing on; each hour makes its dates anew.

    Args:
        hours: how long.
        rounds: how often.
    """
    packed_at = START + timedelta(minutes=HISTORY_MINUTES)
    one, four = _jars(packed_at, 1), _jars(packed_at, 4)
    passes: dict[int, list[float]] = {1: [], 4: []}
    floors, *_ = interleaved(
        rounds,
        (
            _floor,
            lambda: passes[1].extend(_hourly(one, hours)),
            lambda: passes[4].extend(_hourly(four, hours)),
        ),
    )
    floor_ms = 1000.0 * min(floors)
    return Report(
        "forecast",
        f"station.outlooks.Minder over a fortnight of log, mean of the {hours} hourly passes from packing on; "
        f"best of {rounds} interleaved runs",
        f"a plain Python loop that adds up {DRAWS} random courses of {HORIZON_DAYS} days above {len(BASES_C)} bases",
        (
            Line("a lone jar", _best_ms(passes[1], hours), "ms a jar", floor_ms, GOAL),
            Line("its longest pass", 1000.0 * min(map(max, _runs(passes[1], hours))), "ms a jar", floor_ms, GOAL,
                 "the quietest run's; with Python's full collection of garbage, where one fell due"),
            Line("its longest pass, best of each hour", _longest_work_ms(passes[1], hours), "ms a jar", floor_ms,
                 note="the work alone: no collection, and no busy neighbour, strikes one hour in every run"),
            Line("one of four jars", _best_ms(passes[4], hours) / 4.0, "ms a jar", floor_ms, GOAL),
        ),
    )  # fmt: skip


def _jars(packed_at: datetime, count: int) -> tuple[Jar, ...]:
    first, second = two_jars(packed_at)
    return tuple(
        replace(second if number % 2 else first, id=f"jar-{number}", packed_at=packed_at) for number in range(count)
    )


def _runs(passes: list[float], hours: int) -> Iterator[list[float]]:
    for first in range(0, len(passes), hours):
        yield passes[first : first + hours]


def _best_ms(passes: list[float], hours: int) -> float:
    return 1000.0 * min(map(mean, _runs(passes, hours)))


def _longest_work_ms(passes: list[float], hours: int) -> float:
    """Return the longest pass when each hour is taken from the run in which it was shortest."""
    return 1000.0 * max(map(min, zip(*_runs(passes, hours), strict=True)))


def _hourly(jars: tuple[Jar, ...], hours: int) -> list[float]:
    """Return what each hourly pass takes, in seconds, the first one with empty caches included."""
    log = MemoryLog()
    for reading in readings(START, range(HISTORY_MINUTES), 60):
        log.commit(Minute(reading))
    minder = Minder(SETTINGS, log, FixedNotebook(jars))
    outlooks: tuple[Outlook, ...] = ()
    taken = []
    for hour in range(hours):
        reading = _at(HISTORY_MINUTES + 60 * hour)
        log.commit(Minute(reading))
        start_s = time.perf_counter()
        outlooks, _ = minder.minded(outlooks, reading)
        taken.append(time.perf_counter() - start_s)
    return taken


def _at(minute: int) -> Reading:
    (reading,) = readings(START, range(minute, minute + 1), 60)
    return replace(reading, boot_s=60.0 * minute, span_s=3600.0)


def _floor() -> None:
    chance = random.Random(7)
    for _ in range(DRAWS):
        level_c = 20.0
        sums = [0.0] * len(BASES_C)
        for _ in range(HORIZON_DAYS):
            level_c += chance.gauss(0.0, 0.5)
            for index, base_c in enumerate(BASES_C):
                sums[index] += 24.0 * (min(max(level_c, base_c), CAP_C) - base_c)
