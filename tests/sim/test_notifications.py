"""How often a grower is told something: an ordinary kitchen, a grower who looks, answers and strains."""

from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from sim.grower import Batch, Grower
from sim.replay import NoSignal
from sim.rig import rig_of, settings_of
from sim.scenario import load
from station.alerts import Change
from station.daemon import JudgedMinute, Station
from station.domain.alert import AlertKind
from station.ports import Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog

DAYS = 30
PLANTS = ("comfrey", "yarrow", "dandelion", "chickweed", "borage", "cleavers")


def month(folder: Path, *, answers: bool) -> list[Change]:
    """Return all notifications of thirty days with a new jar every third morning."""
    scenario = load("ordinary-kitchen")
    rig = rig_of(scenario)
    batches = [
        (scenario.start_at + timedelta(days=day, hours=3), Batch(0.0, PLANTS[day // 3 % 6], 250, 250, 2000))
        for day in range(0, DAYS - 3, 3)
    ]
    told: list[Change] = []
    with (
        Notebook.open(folder / "notebook.db") as seen,
        Notebook.open(folder / "notebook.db") as written,
        ShelfLog.open(folder / "shelf.db", durable=False) as log,
    ):
        settings = settings_of(scenario)
        grower = Grower(written, batches, settings.zone, answers=answers)

        def after(judged: JudgedMinute) -> None:
            told.extend(change for change in judged.changes if change.notify)
            grower.lives(judged)

        station = Station(settings, Rig(rig.clock, rig.sensors, None, NoSignal()), log, seen, after)
        station.start()
        for _ in range(DAYS):
            with log.batch():
                for _ in range(1440):
                    station.tick()
        assert len(written.jars()) == len(batches)
        assert sum(jar.bottled_at is not None for jar in written.jars()) >= 6
    return told


@pytest.mark.parametrize("answers", [True, pytest.param(False, marks=pytest.mark.long)])
def test_an_ordinary_shelf_tells_no_more_than_one_thing_a_day_beside_its_jars(tmp_path: Path, answers: bool) -> None:
    told = month(tmp_path, answers=answers)
    kinds = Counter(change.alert.kind for change in told)
    of_shelf = sum(count for kind, count in kinds.items() if kind.condition is not None)
    assert of_shelf <= DAYS, kinds
    assert kinds[AlertKind.STRAIN] >= 6, kinds
    assert kinds[AlertKind.NO_JUICE] <= 9, kinds
