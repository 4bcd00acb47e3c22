"""`python -m tests.bench.backtests [LOG ...]`: how good the dates are, on logs and on model years, as Markdown.

Each log is tried as it is and as if its shelf were cooler or warmer; each model year as it is. The first table
sets the forecast beside the calendar; the second says what eight judged jars change for a plant a fifth off.
"""

import argparse
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from sim.backtest import Backtest, Plan, backtest
from station.domain.readings import Reading
from station.store.log_files import read_log
from tests.bench.years import YEARS, a_year

SHIFTS_C = (-2.0, 0.0, 2.0, 3.0, 4.0, 5.0, 7.0, 9.0)
LEARNED_SHIFTS_C = (-2.0, 0.0, 2.0, 5.0)
NEEDS_DAYS = (4.4, 6.6)
"""A fifth less and a fifth more than the default."""
JUDGED = 8
HEAD = (
    "log",
    "mean °C",
    "jars",
    "calendar, h off",
    "forecast at packing",
    "half way",
    "at 80 %",
    "packing ÷ calendar",
    "bias at packing, h",
    "in the 80 % range",
    "its width, h",
)
LEARNED_HEAD = ("log", "mean °C", "true need", "at 80 %, h off", f"after {JUDGED} judged jars", "less by")


@dataclass(frozen=True, slots=True)
class Log:
    """A log to try, and by how much warmer its shelf is taken to be."""

    name: str
    readings: Sequence[Reading]
    shifts_c: tuple[float, ...] = (0.0,)
    learned_shifts_c: tuple[float, ...] = (0.0,)


def ratio(found: Backtest) -> float:
    """Return the forecast's mean error at packing as a share of the calendar's."""
    return found.packing.mae_h / found.calendar.mae_h


def less_by(before: Backtest, after: Backtest) -> float:
    """Return by what share the error near the end fell."""
    return 1.0 - after.near.mae_h / before.near.mae_h


def dates_rows(log: Log, pack_every_h: float) -> Iterator[tuple[str, ...]]:
    """Yield a row of the first table for each shift of a log."""
    for shift_c in log.shifts_c:
        found = backtest(log.readings, Plan(shift_temp_c=shift_c, pack_every_h=pack_every_h))
        scores = (found.calendar, found.packing, found.half, found.near)
        yield (
            _named(log, shift_c),
            f"{found.mean_temp_c:.1f}",
            str(found.jars),
            *(f"{score.mae_h:.1f}" for score in scores),
            f"{ratio(found):.2f}",
            f"{found.packing.bias_h:+.1f}",
            f"{found.spread.coverage:.0%}",
            f"{found.spread.mean_width_h:.0f}",
        )


def learned_rows(log: Log, pack_every_h: float) -> Iterator[tuple[str, ...]]:
    """Yield a row of the second table for each shift of a log and each need."""
    for shift_c in log.learned_shifts_c:
        for need_days in NEEDS_DAYS:
            plans = [
                Plan(need_days, learn=learn, shift_temp_c=shift_c, pack_every_h=pack_every_h) for learn in (0, JUDGED)
            ]
            before, after = (backtest(log.readings, plan) for plan in plans)
            yield (
                _named(log, shift_c),
                f"{before.mean_temp_c:.1f}",
                f"{need_days:g}",
                f"{before.near.mae_h:.1f}",
                f"{after.near.mae_h:.1f}",
                f"{less_by(before, after):.0%}",
            )


def _named(log: Log, shift_c: float) -> str:
    return log.name if shift_c == 0.0 else f"{log.name} {shift_c:+g} °C"


def _printed(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> None:
    print(f"\n| {' | '.join(head)} |\n|---|{'---:|' * (len(head) - 1)}", flush=True)
    for row in rows:
        print(f"| {' | '.join(row)} |", flush=True)


def main(arguments: list[str]) -> int:
    asked = _asked(arguments)
    logs = [Log(path.stem, list(read_log(path)), SHIFTS_C, LEARNED_SHIFTS_C) for path in asked.logs]
    logs += [Log(f"year: {name}", a_year(name, asked.days)) for name in asked.years]
    _printed(HEAD, (row for log in logs for row in dates_rows(log, asked.every)))
    _printed(LEARNED_HEAD, (row for log in logs for row in learned_rows(log, asked.every)))
    return 0


def _asked(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.backtests", description="How good the dates are.")
    parser.add_argument("logs", nargs="*", type=Path, metavar="LOG", help="log files")
    parser.add_argument("--years", nargs="*", choices=YEARS, default=YEARS, metavar="SCENARIO", help=", ".join(YEARS))
    parser.add_argument("--days", type=float, default=365.0, help="how long a model year is")
    parser.add_argument("--every", type=float, default=25.0, metavar="H", help="hours from one jar to the next")
    return parser.parse_args(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
