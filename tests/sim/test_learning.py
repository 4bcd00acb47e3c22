"""A grower in the model kitchen judges jars, and the dates of the jars to come follow."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from sim.replay import NoSignal
from sim.rig import rig_of, settings_of
from sim.scenario import load
from station.daemon import Station
from station.domain.jars import Jar, Judged, Judgement, Strained
from station.domain.outlook import Outlook
from station.ports import Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog

DAY = 1440


class Home:
    """The ordinary kitchen with its station, and somebody who writes in the notebook."""

    def __init__(self, folder: Path) -> None:
        scenario = load("ordinary-kitchen")
        self._rig = rig_of(scenario)
        self.log = ShelfLog.open(folder / "shelf.db", durable=False)
        self.read, self.written = (Notebook.open(folder / "notebook.db") for _ in range(2))
        quiet = Rig(self._rig.clock, self._rig.sensors, None, NoSignal())
        self.station = Station(settings_of(scenario), quiet, self.log, self.read)
        self.station.start()

    def lives(self, minutes: int) -> None:
        with self.log.batch():
            for _ in range(minutes):
                self.station.tick()

    @property
    def now_at(self) -> datetime:
        return self._rig.clock.now()

    def packs(self, plant: str) -> Jar:
        return self.written.pack(plant, self.now_at, 1000.0, now_at=self.now_at)

    def strains(self, jar: Jar) -> None:
        self.written.record(Strained(jar.id, self.now_at), now_at=self.now_at)

    def judges(self, jars: list[Jar], judgement: Judgement | None) -> None:
        for jar in jars:
            self.written.record(Judged(jar.id, self.now_at, judgement), now_at=self.now_at)
        self.lives(2)

    def outlook(self, jar: Jar) -> Outlook:
        return next(one for one in self.station.memory.outlooks if one.jar_id == jar.id)

    def later_h(self, jar: Jar, before: Outlook) -> float:
        likely_at = self.outlook(jar).ready_likely_at
        assert likely_at is not None
        assert before.ready_likely_at is not None
        return (likely_at - before.ready_likely_at) / timedelta(hours=1)

    def ends(self) -> None:
        for one in (self.station, self.log, self.read, self.written):
            one.close()


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Home]:
    made = Home(tmp_path)
    yield made
    made.ends()


def test_jars_judged_too_early_move_the_next_one_of_the_plant_more_than_others_until_it_is_withdrawn(
    home: Home,
) -> None:
    strained = [home.packs("comfrey") for _ in range(4)]
    home.lives(5 * DAY)
    for jar in strained:
        home.strains(jar)
    comfrey, yarrow = home.packs("comfrey"), home.packs("yarrow")
    home.lives(120)
    before = home.outlook(comfrey), home.outlook(yarrow)
    assert before[0].evening_at == before[1].evening_at
    home.judges(strained, Judgement.TOO_EARLY)
    own_h, other_h = home.later_h(comfrey, before[0]), home.later_h(yarrow, before[1])
    assert own_h > 1.2 * other_h > 0.0
    assert own_h > 4.0
    home.judges(strained, None)
    assert home.later_h(comfrey, before[0]) == pytest.approx(0.0, abs=0.3)
    assert home.later_h(yarrow, before[1]) == pytest.approx(0.0, abs=0.3)
    assert home.outlook(comfrey).evening_at == before[0].evening_at
