"""Readings a second through the daemon's own code, read from a log file."""

import csv
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from sim.replay import replay
from station.domain.jars import Jar
from station.store.log_files import read_log, write_log
from tests.bench.kitchens import DAY, SETTINGS, readings, two_jars
from tests.bench.report import Goal, Line, Report
from tests.bench.timing import interleaved

GOAL = Goal("at least", 20_000.0)
START = datetime(2026, 5, 4, tzinfo=UTC)


def measured(count: int = 9 * DAY, rounds: int = 5) -> Report:
    """Replay `count` readings without a jar and with two, and four times as many.

    Args:
        count: how many readings; in nine days of minutes a jar goes from packing to past its best.
        rounds: how often each is run.
    """
    with TemporaryDirectory() as folder:
        short, long = (_log_file(Path(folder) / f"{many}.csv", many) for many in (count, 4 * count))
        jars = two_jars(START)
        taken = interleaved(
            rounds,
            (
                lambda: _floor(short),
                lambda: _floor(long),
                lambda: _played(short),
                lambda: _played(long),
                lambda: _played(short, jars),
                lambda: _played(long, jars),
            ),
        )
    floor_s, long_floor_s, short_s, long_s, jars_s, long_jars_s = map(min, taken)
    return Report(
        "replay",
        f"sim.replay.replay over read_log of a CSV file, best of {rounds} interleaved runs",
        "csv.reader and datetime.fromisoformat over the same file",
        (
            Line(f"no jar, {count:,} readings", count / short_s, "readings/s", count / floor_s, GOAL),
            Line(f"no jar, {4 * count:,} readings", 4 * count / long_s, "readings/s", 4 * count / long_floor_s, GOAL),
            Line(
                "linear in length", long_s / (4 * count) * 1e6, "µs a reading", short_s / count * 1e6,
                Goal("at most", 1.1, "ratio"),
                f"a reading of {4 * count:,} beside one of {count:,} (here the floor)",
            ),
            Line(
                f"two jars over their life, {count:,} readings", count / jars_s, "readings/s", count / floor_s, GOAL,
                "packed at the beginning and a day later; a date for each every hour",
            ),
            Line(
                f"two jars left standing, {4 * count:,} readings", 4 * count / long_jars_s, "readings/s",
                4 * count / long_floor_s, GOAL,
                "past their best after the first quarter, and then without a date",
            ),
        ),
    )  # fmt: skip


def _log_file(path: Path, count: int) -> Path:
    write_log(path, readings(START, range(count)))
    return path


def _floor(path: Path) -> None:
    with path.open(newline="", encoding="utf-8") as stream:
        rows = csv.reader(stream)
        next(rows)
        for row in rows:
            datetime.fromisoformat(row[0])


def _played(path: Path, jars: tuple[Jar, ...] = ()) -> None:
    replay(read_log(path), SETTINGS, jars)
