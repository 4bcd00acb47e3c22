"""A shelf to look at: some weeks of simulated history through the station's own code, then on at a pace."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta, tzinfo
from pathlib import Path
from zoneinfo import ZoneInfo

from sim.faults import SensorPlan
from sim.garden import tend
from sim.grower import Batch, Grower
from sim.jar import Jar as ModelJar
from sim.rig import SimRig, rig_of, settings_of
from sim.scenario import Scenario
from station.config import Settings, UnitSettings
from station.daemon import JudgedMinute, Station
from station.ports import Clock, Publisher, Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog

HOUR = timedelta(hours=1)
PACKS_AT = time(6, 40)
"""Local time of packing."""
METRIC = UnitSettings()
US = UnitSettings(temperature="F", amounts="us")
BATCH = 1440
"""Minutes of history in one transaction."""


BATCHES = (
    Batch(20.0, "yarrow", 190, 125, 1500, "picked along the south hedge"),
    Batch(17.1, "comfrey", 260, 260, 2000, "young leaves, gloves on"),
    Batch(13.05, "dandelion", 150, 125, 1000, ""),
    Batch(9.0, "chickweed", 125, 125, 1000, "very juicy, a lot of liquid on the first evening", True),
    Batch(5.9, "borage", 240, 240, 2000, "with a few flowers"),
    Batch(3.2, "comfrey", 130, 130, 1000, "second cut of the bed by the gate"),
    Batch(1.1, "cleavers", 250, 180, 2000, ""),
)
"""A scenario of our own: what one grower packed in the last three weeks."""


class Demo:
    """A simulated station with a grower, writing into a data folder.

    Args:
        scenario: the shelf; its own jars are replaced by the demo grower's.
        folder: the data folder, empty.
        base: the real clock: it paces what follows the history, which ends at its present unless the scenario has
            dates of its own.
        days: how much history.
        speed: seconds there per second here, once the history is done.
        units: in which the station speaks, and the pages show.
    """

    def __init__(
        self,
        scenario: Scenario,
        folder: Path,
        base: Clock,
        days: float = 16.0,
        speed: float = 1.0,
        units: UnitSettings = METRIC,
    ) -> None:
        history_s = days * 86400.0
        start_at = scenario.start_at if scenario.own_dates else _ending(base.now(), history_s)
        end_at = start_at + timedelta(days=days)
        zone = ZoneInfo(scenario.place.zone)
        self._batches = [
            (max(start_at, nearest_dawn(end_at - timedelta(days=batch.days_ago), zone)), batch)
            for batch in BATCHES
            if batch.days_ago <= days
        ]
        jars = tuple(
            ModelJar(f"jar-{number}", batch.plant, packed_after_h=(at - start_at) / HOUR, jar_ml=batch.jar_ml)
            for number, (at, batch) in enumerate(self._batches, 1)
        )
        self.scenario = replace(scenario, start_at=start_at, jars=jars, sensors=_shelf_only(scenario))
        self.rig: SimRig = rig_of(self.scenario, base, speed, history_s)
        self.settings: Settings = settings_of(self.scenario).model_copy(update={"data": folder, "units": units})
        self._folder = folder
        self._minutes = round(history_s / 60.0)
        self._station: Station | None = None
        self._stopping = threading.Event()

    def run(
        self,
        ready: threading.Event,
        on_progress: Callable[[int], None] | None = None,
        publisher: Publisher | None = None,
    ) -> None:
        """Write the history, set `ready`, and go on at the pace until `stop`.

        Args:
            ready: set when the history is written.
            on_progress: called with the minutes written so far.
            publisher: where the station that goes on sends its messages; the history sends none.
        """
        with (
            Notebook.open(self._folder / "notebook.db") as seen,
            Notebook.open(self._folder / "notebook.db") as written,
            ShelfLog.open(self._folder / "shelf.db", durable=False) as log,
        ):
            grower = Grower(written, self._batches, self.settings.zone)
            self._live_through(self._begun(log, seen, grower.lives), log, on_progress)
            station = self._begun(log, seen, grower.lives, publisher)
            tend(written, self.rig.clock.now(), self.settings.zone)
            ready.set()
            station.run()
            station.close()

    def _begun(
        self, log: ShelfLog, seen: Notebook, lives: Callable[[JudgedMinute], None], publisher: Publisher | None = None
    ) -> Station:
        rig = Rig(self.rig.clock, self.rig.sensors, publisher, self.rig.signal)
        station = Station(self.settings, rig, log, seen, lives)
        self._station = station
        station.start()
        if self._stopping.is_set():
            station.stop()
        return station

    def _live_through(self, station: Station, log: ShelfLog, on_progress: Callable[[int], None] | None) -> None:
        """Write the history, in transactions of a day each."""
        done = 0
        while done < self._minutes and not self._stopping.is_set():
            with log.batch():
                for _ in range(min(BATCH, self._minutes - done)):
                    station.tick()
            done += min(BATCH, self._minutes - done)
            if on_progress is not None:
                on_progress(done)
        station.close()

    def stop(self) -> None:
        """Ask the station to end."""
        self._stopping.set()
        if self._station is not None:
            self._station.stop()


def _ending(end_at: datetime, history_s: float) -> datetime:
    return end_at.replace(second=0, microsecond=0) - timedelta(seconds=history_s)


def nearest_dawn(at: datetime, zone: tzinfo) -> datetime:
    """Return when the grower packs whose day it is at about `at` (aware): picked at dawn, as is common practice."""
    dawn = at.astimezone(zone).replace(hour=PACKS_AT.hour, minute=PACKS_AT.minute, second=0, microsecond=0)
    days = (dawn.replace(tzinfo=None) + timedelta(days=off) for off in (-1, 0, 1))
    return min((day.replace(tzinfo=zone).astimezone(UTC) for day in days), key=lambda one: abs(one - at))


def _shelf_only(scenario: Scenario) -> tuple[SensorPlan, ...]:
    return tuple(plan for plan in scenario.sensors if plan.kind != "jar")
