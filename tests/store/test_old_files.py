"""Files that an earlier version wrote are opened, brought up to date, and lose nothing.

`old/*.sql` are dumps of files that the first version's own code wrote, before ways and sign of life were kept; no later
version writes them again.
"""

import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from station.domain.alert import AlertKind
from station.domain.feeding import Method
from station.domain.heartbeat import Heartbeat
from station.domain.jars import Judgement, Stage, stage
from station.domain.way import BROKER, Way, WayState
from station.errors import StoreError
from station.ports import Minute
from station.store.bottles import Bottles
from station.store.corrections import Corrections
from station.store.feedings import Feedings
from station.store.migrations import NOTEBOOK, SHELF_LOG, identify
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from station.store.rounds import Rounds
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from station.store.trials import Trials
from tests.builders import START, a_reading
from tests.store.worlds import after, everything

OLD = Path(__file__).parent / "old"


def an_old_file(dump: str, path: Path) -> Path:
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((OLD / dump).read_text(encoding="utf-8"))
    return path


@pytest.fixture
def shelf_file(tmp_path: Path) -> Path:
    return an_old_file("shelf_log_1.sql", tmp_path / "shelf.db")


@pytest.fixture
def notebook_file(tmp_path: Path) -> Path:
    return an_old_file("notebook_2.sql", tmp_path / "notebook.db")


def test_every_row_of_an_old_shelf_log_is_there_afterwards(shelf_file: Path) -> None:
    before = everything(shelf_file)
    ShelfLog.open(shelf_file).close()
    now = everything(shelf_file)
    now["states"] = [row[:-1] for row in now["states"]]  # less the boot, which was not kept
    assert {name: now[name] for name in before} == before
    added = {name: now[name] for name in now.keys() - before.keys()}
    assert [(row[0], row[2]) for row in added.pop("rewrites")] == [(1, 0)]
    assert added == {"ways": [], "heartbeat": []}
    with closing(sqlite3.connect(shelf_file)) as connection:
        assert identify(connection, shelf_file, SHELF_LOG) == len(SHELF_LOG.steps)


def test_what_an_old_shelf_log_says_is_understood(shelf_file: Path) -> None:
    with ShelfLog.open(shelf_file) as log:
        saved = log.saved()
        waiting = log.waiting()
        first, *_ = log.pending()
        readings = tuple(log.readings(START))
    assert [alert.id for alert in saved.alerts] == [*(f"cold-{number}" for number in range(1, 7)), "strain-1"]
    assert [outlook.jar_id for outlook in saved.outlooks] == ["comfrey-1", "yarrow-1"]
    assert saved.untrusted_boot_id == "other"
    assert saved.ways == ()
    assert waiting == {None: 3, "phone": 1}
    assert (first.id, first.payload) == (5, b"minute 5")
    assert [reading.temp_c for reading in readings] == [15.1, 15.2, 15.3, 15.4, 15.5, 15.6, None, 21.5]
    assert [probe.temp_c for probe in readings[-1].probes] == [19.25]
    sun = next(alert for alert in ShelfReader(shelf_file).alerts() if alert.kind is AlertKind.SUN)
    assert (sun.cleared_at, sun.acknowledged_at, sun.put_off_until_at) == (after(7), after(5), after(6))


def test_an_old_shelf_log_takes_what_is_kept_today(shelf_file: Path) -> None:
    beat = Heartbeat(after(9), "1", 60.0, True, after(9), 1000)
    way = Way(BROKER, WayState.WORKING, "Connected.", "", after(9), 3)
    with ShelfLog.open(shelf_file) as log:
        log.commit(Minute(reading=a_reading(9), ways=(way,), heartbeat=beat))
    reader = ShelfReader(shelf_file)
    assert reader.ways() == (way,)
    assert reader.heartbeat() is not None


def test_a_reader_leaves_an_old_shelf_log_alone_and_asks_for_the_station(shelf_file: Path) -> None:
    before = shelf_file.read_bytes()
    with pytest.raises(StoreError, match="format 1; this version reads format") as refused:
        ShelfReader(shelf_file).latest()
    assert "jarside watch" in refused.value.remedy
    assert shelf_file.read_bytes() == before


def test_every_row_of_an_old_notebook_is_there_afterwards(notebook_file: Path) -> None:
    before = everything(notebook_file)
    Notebook.open(notebook_file).close()
    now = everything(notebook_file)
    assert {name: now[name] for name in before} == before
    with closing(sqlite3.connect(notebook_file)) as connection:
        assert identify(connection, notebook_file, NOTEBOOK) == len(NOTEBOOK.steps)


def test_the_jars_of_an_old_notebook_are_understood(notebook_file: Path) -> None:
    with Notebook.open(notebook_file) as notebook:
        strained, gone, working = sorted(notebook.jars(), key=lambda jar: jar.packed_at)
        needs = notebook.needs()
        answers = notebook.answers(START)
    assert (strained.id, strained.plant_g, strained.sugar_g, strained.jar_ml) == ("comfrey-1", 260.0, 260.0, 2000.0)
    assert (strained.judgement, strained.judged_at) == (Judgement.RIGHT, START + timedelta(days=6))
    stages = [stage(jar, 0.0, 0.0) for jar in (strained, gone, working)]
    assert stages == [Stage.BOTTLED, Stage.DISCARDED, Stage.WORKING]
    assert [jar.id for jar in needs.jars] == ["comfrey-1"]
    assert [answer.alert_id for answer in answers] == ["cold-1", "sun-1"]


def test_what_stands_beside_the_jars_of_an_old_notebook_is_understood(notebook_file: Path) -> None:
    with Notebook.open(notebook_file) as notebook:
        left_ml = {bottle.id: bottle.left_ml for bottle in Bottles(notebook).bottles()}
        feedings = Feedings(notebook).feedings()
        (spray,) = Rounds(notebook).rounds(feedings)
        (trial,) = Trials(notebook).trials()
        plants = OwnPlants(notebook).plants()
        (correction,) = Corrections(notebook).holding()
    assert left_ml == {"comfrey-1-a": pytest.approx(225.6), "horsetail-a": pytest.approx(120.0)}
    assert [(fed.method, fed.juice_ml) for fed in feedings] == [(Method.SEED_SOAK, 0.4), (Method.LEAF_SPRAY, 4.0)]
    assert spray.rule.place == "seedlings on the sill"
    assert trial.seeds == "lettuce"
    assert [(plant.name, plant.cautions) for plant in plants] == [("sea holly", ("Prickly: wear gloves.",))]
    assert (correction.sensor, correction.offset) == ("shelf-air", -2.5)
