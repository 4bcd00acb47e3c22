"""A station in a small world: scripted sensors, a manual clock, real files."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from sim.clocks import TRUE, ClockFaults, ManualClock
from sim.replay import NoSignal
from station.config import Settings
from station.daemon import JudgedMinute, Station
from station.domain.readings import Miss, Sample
from station.ports import Publisher, Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from tests.builders import START
from tests.left_open import closed_after

Script = Callable[[float], Sample | Miss]
"""What a sensor answers at a boot second."""


def steady(temp_c: float = 20.0, rh_pct: float = 55.0, light_lx: float = 100.0) -> Script:
    """Return a script that always answers the same, give or take a flicker that keeps it from looking stuck."""
    return lambda boot_s: Sample("shelf", temp_c + 0.1 * (int(boot_s / 10) % 2), rh_pct, light_lx)


@dataclass
class ScriptedSensor:
    """A sensor that follows a script."""

    clock: ManualClock
    script: Script
    name: str = "shelf"
    spacing_s: float = 2.1
    asked: list[float] = field(default_factory=list)
    is_open: bool = False

    def open(self) -> None:
        self.is_open = True

    def sample(self) -> Sample | Miss:
        self.asked.append(self.clock.boottime_s())
        return self.script(self.clock.boottime_s())

    def close(self) -> None:
        self.is_open = False


@dataclass
class Stand:
    """A station with everything about it, over real files in a folder."""

    folder: Path
    clock: ManualClock
    sensor: ScriptedSensor
    log: ShelfLog
    notebook: Notebook
    station: Station
    judged: list[JudgedMinute] = field(default_factory=list)

    def live(self, minutes: int) -> "Stand":
        for _ in range(minutes):
            self.station.tick()
        return self

    def raised(self) -> set[str]:
        return {str(state.kind) for state in self.station.memory.shelf.states if state.raised}

    def end(self) -> None:
        self.station.close()
        self.log.close()
        self.notebook.close()


def a_stand(
    folder: Path,
    script: Script | None = None,
    *,
    clock: ManualClock | None = None,
    start_at: datetime = START,
    faults: ClockFaults = TRUE,
    log: Any = None,
    publisher: Publisher | None = None,
    people: Publisher | None = None,
    **settings: Any,
) -> Stand:
    """Return a started station; with `clock` it goes on where another one ended."""
    clock = clock or ManualClock(start_at, faults)
    sensor = ScriptedSensor(clock, script or steady())
    shelf_log = closed_after(log or ShelfLog.open(folder / "shelf.db", durable=False))
    notebook = closed_after(Notebook.open(folder / "notebook.db"))
    judged: list[JudgedMinute] = []
    rig = Rig(clock, (sensor,), publisher, NoSignal(), people=people)
    station = Station(Settings(**settings), rig, shelf_log, notebook, judged.append)
    station.start()
    return Stand(folder, clock, sensor, shelf_log, notebook, station, judged)
