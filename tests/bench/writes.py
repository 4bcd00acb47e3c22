"""What a simulated day costs the card: bytes written by the real shelf log, one durable commit a minute."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from sim.rig import SimRig, rig_of, settings_of
from sim.scenario import Scenario, load
from station.daemon import JudgedMinute, Station
from station.store.log_files import write_rows
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from tests.bench.report import Goal, Line, Report

GOAL = Goal("at most", 20.0)
DAY = 1440
RUN_IN_MINUTES = 120
"""Not counted: the files are made and the jars found."""


@dataclass
class Written:
    """Bytes that this process wrote: handed to the kernel, and to the storage layer in whole pages."""

    handed: int = 0
    stored: int = 0


@dataclass
class WalWatch:
    """The largest the write-ahead log has been."""

    path: Path
    most: int = 0
    minutes: list[JudgedMinute] = field(default_factory=list)

    def look(self, judged: JudgedMinute) -> None:
        self.most = max(self.most, self.path.stat().st_size)
        self.minutes.append(judged)


def measured(minutes: int = DAY) -> Report:
    """Live a day of the ordinary kitchen with its jars, as fast as it goes.

    Args:
        minutes: how long; what was written is scaled to a day.
    """
    scenario = load("ordinary-kitchen")
    rig = rig_of(scenario)
    with TemporaryDirectory() as name:
        folder = Path(name)
        wal = WalWatch(folder / "shelf.db-wal")
        _pack(folder, scenario)
        with (
            Notebook.open(folder / "notebook.db") as notebook,
            ShelfLog.open(folder / "shelf.db") as log,
        ):
            station = _station(scenario, rig, log, notebook, wal)
            _live(station, RUN_IN_MINUTES)
            wal.minutes.clear()
            before = (folder / "shelf.db").stat().st_size
            with _counted() as station_wrote:
                _live(station, minutes)
            grown = (folder / "shelf.db").stat().st_size - before
        with _counted() as floor_wrote:
            _floor(folder / "floor.csv", wal.minutes)
    a_day = DAY / minutes / 1e6
    jars = len(wal.minutes[-1].memory.outlooks)
    alerts = sum(len(judged.minute.alerts) for judged in wal.minutes)
    return Report(
        "writes",
        f"{minutes} simulated minutes of an ordinary kitchen with {jars} jars and {alerts} alert changes, each minute "
        "committed durably; /proc/self/io, scaled to a day",
        "a CSV file with the same readings, appended to and synced once a minute",
        (
            Line("stored, in whole pages", station_wrote.stored * a_day, "MB a day", floor_wrote.stored * a_day, GOAL,
                 _storage_note(floor_wrote)),
            Line("handed to the kernel", station_wrote.handed * a_day, "MB a day", floor_wrote.handed * a_day, GOAL),
            Line("write-ahead log at its largest", wal.most / 1e6, "MB", floor_wrote.handed / 1e6, None,
                 f"shelf.db itself grew by {grown * a_day:.3f} MB a day"),
        ),
    )  # fmt: skip


def _storage_note(wrote: Written) -> str:
    if not wrote.stored:
        return "the temporary folder is in memory: set TMPDIR to one on a disk"
    return "without what the file system's own journal adds"


def _station(scenario: Scenario, rig: SimRig, log: ShelfLog, notebook: Notebook, wal: WalWatch) -> Station:
    station = Station(settings_of(scenario), rig, log, notebook, wal.look)
    station.start()
    return station


def _live(station: Station, minutes: int) -> None:
    for _ in range(minutes):
        station.tick()


def _pack(folder: Path, scenario: Scenario) -> None:
    with Notebook.open(folder / "notebook.db") as notebook:
        for jar in scenario.jars:
            notebook.pack(jar.plant, scenario.start_at, jar.jar_ml, now_at=scenario.start_at)


def _floor(path: Path, minutes: list[JudgedMinute]) -> None:
    with path.open("a", encoding="utf-8", newline="") as stream:
        write_rows(stream, ())
        for judged in minutes:
            assert judged.minute.reading is not None
            stream.write(_row(judged))
            stream.flush()
            os.fsync(stream.fileno())


def _row(judged: JudgedMinute) -> str:
    reading = judged.minute.reading
    assert reading is not None
    return f"{reading.measured_at.isoformat()},{reading.temp_c},{reading.rh_pct},{reading.light_lx}\n"


@contextmanager
def _counted() -> Iterator[Written]:
    before, wrote = _so_far(), Written()
    yield wrote
    after = _so_far()
    wrote.handed, wrote.stored = after.handed - before.handed, after.stored - before.stored


def _so_far() -> Written:
    lines = Path("/proc/self/io").read_text(encoding="ascii").splitlines()
    found = {name: int(value) for name, value in (line.split(": ") for line in lines)}
    return Written(found["wchar"], found["write_bytes"] - found["cancelled_write_bytes"])
