"""A shelf to look at: some weeks of simulated history through the station's own code, then on at a pace."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from sim.faults import SensorPlan
from sim.jar import Jar as ModelJar
from sim.rig import SimRig, rig_of, settings_of
from sim.scenario import Scenario
from station.config import Settings
from station.daemon import Judged, Station
from station.domain.jars import Bottled, Jar, Judgement, Noted, Strained
from station.domain.jars import Judged as Verdict
from station.domain.outlook import Outlook
from station.ports import Clock
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog

DAY_H = 24.0
BATCH = 1440
"""Minutes of history in one transaction."""


@dataclass(frozen=True, slots=True)
class Batch:
    """What the demo's grower packs: days before the present, plant, grams of plant and of sugar, jar in mL.

    A forgotten one is not strained on its evening: everybody has one of those.
    """

    days_ago: float
    plant: str
    plant_g: float
    sugar_g: float
    jar_ml: float
    note: str = ""
    forgotten: bool = False


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
        base: the real clock: the history ends at its present, and paces what follows.
        days: how much history.
        speed: seconds there per second here, once the history is done.
    """

    def __init__(self, scenario: Scenario, folder: Path, base: Clock, days: float = 16.0, speed: float = 1.0) -> None:
        history_s = days * 86400.0
        start_at = base.now().replace(second=0, microsecond=0) - timedelta(seconds=history_s)
        batches = [batch for batch in BATCHES if batch.days_ago <= days]
        jars = tuple(_model_jar(number, batch, days) for number, batch in enumerate(batches, 1))
        self._scenario = replace(scenario, start_at=start_at, jars=jars, sensors=_shelf_only(scenario))
        self.rig: SimRig = rig_of(self._scenario, base, speed, history_s)
        self.settings: Settings = settings_of(self._scenario).model_copy(update={"data": folder})
        self._folder = folder
        self._batches = [(start_at + timedelta(days=days - batch.days_ago), batch) for batch in batches]
        self._minutes = round(history_s / 60.0)
        self._station: Station | None = None

    def run(self, ready: threading.Event, on_progress: Callable[[int], None] | None = None) -> None:
        """Write the history, set `ready`, and go on at the pace until `stop`."""
        with (
            Notebook.open(self._folder / "notebook.db") as seen,
            Notebook.open(self._folder / "notebook.db") as written,
            ShelfLog.open(self._folder / "shelf.db", durable=False) as log,
        ):
            grower = Grower(written, self._batches)
            station = Station(self.settings, self.rig, log, seen, grower.lives)
            self._station = station
            station.start()
            done = 0
            while done < self._minutes:
                with log.batch():
                    for _ in range(min(BATCH, self._minutes - done)):
                        station.tick()
                done += min(BATCH, self._minutes - done)
                if on_progress is not None:
                    on_progress(done)
            ready.set()
            station.run()
            station.close()

    def stop(self) -> None:
        """Ask the station to end."""
        if self._station is not None:
            self._station.stop()


class Grower:
    """Someone who packs, looks, strains on the proposed evening, judges and bottles: so that there is a story.

    Args:
        notebook: written in as a person would.
        batches: when to pack what.
    """

    def __init__(self, notebook: Notebook, batches: list[tuple[datetime, Batch]]) -> None:
        self._notebook = notebook
        self._batches = batches
        self._draining: list[Jar] = []
        self._forgotten: set[str] = set()

    def lives(self, judged: Judged) -> None:
        """Do what is due in this minute."""
        reading = judged.minute.reading
        if reading is None:
            return
        now_at = reading.measured_at
        if self._batches and self._batches[0][0] <= now_at:
            self._pack(self._batches.pop(0)[1], now_at)
        for outlook in judged.memory.outlooks:
            self._strain_if_due(outlook, now_at)
        for jar in [
            jar for jar in self._draining if jar.strained_at and now_at - jar.strained_at > timedelta(hours=12)
        ]:
            self._draining.remove(jar)
            self._notebook.record(Bottled(jar.id, now_at, round((jar.plant_g or 200.0) * 0.9)), now_at=now_at)

    def _pack(self, batch: Batch, at: datetime) -> None:
        jar = self._notebook.pack(
            batch.plant, at, batch.jar_ml, now_at=at, plant_g=batch.plant_g, sugar_g=batch.sugar_g
        )
        if batch.forgotten:
            self._forgotten.add(jar.id)
        if batch.note:
            self._notebook.record(Noted(jar.id, at, batch.note), now_at=at)

    def _strain_if_due(self, outlook: Outlook, now_at: datetime) -> None:
        """Strain on the evening that the station proposed, once that evening has come."""
        if outlook.evening_at is None or now_at < outlook.evening_at or outlook.jar_id in self._forgotten:
            return
        jar = self._notebook.jar(outlook.jar_id)
        if not jar.on_shelf:
            return
        strained = self._notebook.record(Strained(jar.id, now_at), now_at=now_at)
        self._notebook.record(Verdict(jar.id, now_at, Judgement.RIGHT), now_at=now_at)
        self._draining.append(strained)


def _model_jar(number: int, batch: Batch, days: float) -> ModelJar:
    return ModelJar(
        name=f"jar-{number}", plant=batch.plant, packed_after_h=(days - batch.days_ago) * DAY_H, jar_ml=batch.jar_ml
    )


def _shelf_only(scenario: Scenario) -> tuple[SensorPlan, ...]:
    return tuple(plan for plan in scenario.sensors if plan.kind != "jar")
