"""A small shelf for the pages' tests: written by the station's own code into real files."""

import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from fastapi.testclient import TestClient

from dashboard.app import create_app
from dashboard.lent import NOTHING, Lent
from dashboard.views.manner import Manner, manner_of
from sim.clocks import ManualClock
from sim.replay import NoSignal
from station.cli.lending import lent
from station.config import PlaceSettings, Settings
from station.daemon import Station
from station.domain.jars import Entry, Jar, Noted, Stage, Strained
from station.domain.observations import Seen, Surface
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.warmth import BASES_C, JarHeat, Warmth
from station.ports import Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from tests.builders import START, a_reading

SETTINGS = Settings(place=PlaceSettings(lat_deg=50.0, lon_deg=8.0, zone="Europe/Lisbon"))
MANNER: Manner = manner_of(SETTINGS)
MINUTES_A_DAY = 1440


def at(days: float = 0.0, **more: float) -> datetime:
    """A moment `days` (and `hours=`, `minutes=`) after START."""
    return START + timedelta(days=days, **more)


def a_jar(**changes: Any) -> Jar:
    """A litre of comfrey, packed at START."""
    return replace(Jar("comfrey-1", "comfrey", START, 1000.0, 130.0, 130.0), **changes)


def warmth_of(warm_days: float) -> Warmth:
    """The warmth of a jar that stood at 20 °C for so many days."""
    return Warmth(tuple(warm_days * 24.0 * (20.0 - base_c) for base_c in BASES_C), observed_h=24.0 * warm_days)


def an_outlook(warm_days: float = 2.75, **changes: Any) -> Outlook:
    """What the station thinks of `a_jar` that has had `warm_days`, to be strained on the evening of day 5."""
    heat = JarHeat(warmth_of(warm_days), through_at=at(warm_days), temp_c=20.0)
    outlook = Outlook(
        jar_id="comfrey-1",
        judged_at=at(warm_days),
        heat=heat,
        stage=Stage.WORKING,
        chance_ready=0.1,
        chance_past=0.0,
        need_low=4.5,
        need_likely=5.5,
        need_high=6.7,
        ready_early_at=at(4.5),
        ready_likely_at=at(5.5),
        ready_late_at=at(6.7),
        evening_at=at(5, hours=12),
    )
    return replace(outlook, **changes)


def a_day_of(
    temp_c: float = 20.0, swing_c: float = 1.5, days: float = 1.0, from_day: float = 0.0, every_min: int = 5
) -> Iterator[Reading]:
    """Readings of a kitchen that is warmest in the afternoon and lit by day."""
    for minute in range(round(from_day * MINUTES_A_DAY), round((from_day + days) * MINUTES_A_DAY), every_min):
        hour = (minute / 60.0 + 6.0) % 24.0
        yield a_reading(
            minute,
            temp_c=temp_c + swing_c * math.sin((hour - 9.0) / 12.0 * math.pi),
            rh_pct=50.0 + 8.0 * math.cos(hour / 12.0 * math.pi),
            light_lx=max(300.0 * math.sin((hour - 6.0) / 14.0 * math.pi), 0.0),
            span_s=60.0 * every_min,
        )


@dataclass
class Shelf:
    """A data folder with a station that takes readings and a notebook, and the time at which its pages are read."""

    folder: Path
    now_at: datetime = START
    settings: Settings = SETTINGS
    jars: list[Jar] = field(default_factory=list)
    lent: Lent = NOTHING

    def pack(self, plant: str, packed_at: datetime = START, jar_ml: float = 1000.0) -> Jar:
        """Write a jar into the notebook."""
        with Notebook.open(self.folder / "notebook.db") as notebook:
            self.jars.append(notebook.pack(plant, packed_at, jar_ml, now_at=packed_at, plant_g=130.0, sugar_g=130.0))
        return self.jars[-1]

    def record(self, *entries: Entry) -> None:
        """Write entries into the notebook."""
        with Notebook.open(self.folder / "notebook.db") as notebook:
            for entry in entries:
                notebook.record(entry, now_at=entry.at)

    def live(self, readings: Iterable[Reading]) -> None:
        """Let the station take readings, and read the pages when the last one came."""
        with (
            ShelfLog.open(self.folder / "shelf.db", durable=False) as log,
            Notebook.open(self.folder / "notebook.db") as notebook,
        ):
            station = Station(self.settings, Rig(ManualClock(), (), None, NoSignal()), log, notebook)
            station.start()
            with log.batch():
                for reading in readings:
                    station.take(reading)
                    self.now_at = reading.measured_at

    @contextmanager
    def client(self) -> Iterator[TestClient]:
        """Ask its pages."""
        app = create_app(self.settings, self.folder, lambda: self.now_at, lent=self.lent)
        with TestClient(
            app, base_url="http://127.0.0.1:8420", raise_server_exceptions=False, client=("127.0.0.1", 50000)
        ) as client:
            yield client


def anew(shelf: Shelf) -> Settings:
    """Return the settings as the programs will read them next time."""
    assert shelf.lent.settings is not None
    return shelf.lent.settings(True)


def lending(shelf: Shelf) -> Shelf:
    """Return a shelf whose pages are lent what the dashboard command lends them."""
    return replace(shelf, lent=lent(shelf.settings, shelf.folder))


def a_kitchen(folder: Path) -> Shelf:
    """A week of a kitchen with a gap, a cold night, a jar that works, one that is ready, and one that drains."""
    kitchen = Shelf(folder)
    kitchen.pack("stinging nettle", at(0))
    kitchen.pack("dandelion", at(1))
    kitchen.pack("comfrey", at(5))
    kitchen.record(Noted("stinging-nettle-1", at(0.3), "first juice after six hours"))
    kitchen.live(a_day_of(days=3.0))
    kitchen.live(a_day_of(days=2.0, from_day=3.25))
    kitchen.live(a_day_of(temp_c=13.0, days=0.5, from_day=5.25))
    kitchen.record(Strained("dandelion-1", at(5.75)))
    kitchen.live(a_day_of(days=1.0, from_day=5.75))
    return kitchen


def a_sunlit_shelf(folder: Path) -> Shelf:
    """A shelf on which the sun has just come to stand, with a mouldy jar and one that is past ready."""
    sunlit = Shelf(folder)
    sunlit.pack("comfrey", at(0))
    sunlit.pack("borage <i>with flowers</i> & a very long name to go with them", at(3))
    sunlit.live(a_day_of(temp_c=22.0, days=9.0, every_min=10))
    sunlit.record(Noted(sunlit.jars[1].id, at(9.0), "grey fur on top", Seen(surface=Surface.FUZZY)))
    noon = [a_reading(9 * MINUTES_A_DAY + 360 + minute, temp_c=24.0, light_lx=18_437.0) for minute in range(8)]
    sunlit.live(noon)
    return sunlit
