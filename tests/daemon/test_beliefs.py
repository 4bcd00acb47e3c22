"""A grower judges jars, and the station's dates follow."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from station.domain.jars import Jar, Judged, Judgement, Strained
from station.domain.outlook import Outlook
from station.store.needs import HandSetNeeds
from station.store.notebook import Notebook
from station.store.shelf_reader import ShelfReader
from tests.builders import START, a_reading
from tests.daemon.world import Stand, a_stand

STEP_MIN = 20


class Kitchen:
    """A station and a grower, twenty minutes at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.stand: Stand = a_stand(folder)
        self.grower = Notebook.open(folder / "notebook.db")
        self.minute = 0

    @property
    def now_at(self) -> datetime:
        return START + timedelta(minutes=self.minute)

    def lives(self, days: float, temp_c: float = 20.0) -> None:
        for _ in range(round(days * 1440 / STEP_MIN)):
            self.minute += STEP_MIN
            self.stand.station.take(a_reading(self.minute, temp_c, span_s=60.0 * STEP_MIN))

    def sleeps(self, days: float) -> None:
        self.minute += round(days * 1440)

    def packs(self, plant: str, at: datetime | None = None) -> Jar:
        return self.grower.pack(plant, at or self.now_at, 1000.0, now_at=self.now_at)

    def strains(self, jar: Jar, judgement: Judgement | None = None, at: datetime | None = None) -> None:
        self.grower.record(Strained(jar.id, at or self.now_at), now_at=self.now_at)
        if judgement is not None:
            self.judges(jar, judgement)

    def judges(self, jar: Jar, judgement: Judgement | None) -> None:
        self.grower.record(Judged(jar.id, self.now_at, judgement), now_at=self.now_at)

    def outlook(self, jar: Jar) -> Outlook:
        return next(one for one in self.stand.station.memory.outlooks if one.jar_id == jar.id)

    def likely_at(self, jar: Jar) -> datetime:
        at = self.outlook(jar).ready_likely_at
        assert at is not None
        return at

    def moved_h(self, jar: Jar, before_at: datetime) -> float:
        return (self.likely_at(jar) - before_at) / timedelta(hours=1)

    def ends(self) -> None:
        self.grower.close()
        self.stand.end()


@pytest.fixture
def kitchen(tmp_path: Path):
    made = Kitchen(tmp_path)
    yield made
    made.ends()


def three_strained_jars(kitchen: Kitchen) -> list[Jar]:
    jars = [kitchen.packs("comfrey") for _ in range(3)]
    kitchen.lives(6.0)
    for jar in jars:
        kitchen.strains(jar)
    kitchen.lives(0.1)
    return jars


def test_jars_judged_too_early_move_the_next_of_the_plant_later_another_plant_less_and_withdrawal_undoes_it(
    kitchen: Kitchen,
) -> None:
    strained = three_strained_jars(kitchen)
    comfrey, yarrow = kitchen.packs("comfrey"), kitchen.packs("yarrow")
    kitchen.lives(1.0)
    before = kitchen.likely_at(comfrey), kitchen.likely_at(yarrow)
    for jar in strained:
        kitchen.judges(jar, Judgement.TOO_EARLY)
    kitchen.lives(0.05)
    own_h, other_h = kitchen.moved_h(comfrey, before[0]), kitchen.moved_h(yarrow, before[1])
    assert own_h > 1.3 * other_h > 3.0
    assert kitchen.outlook(comfrey).need_likely > kitchen.outlook(yarrow).need_likely > 5.6
    for jar in strained:
        kitchen.judges(jar, None)
    kitchen.lives(0.05)
    assert kitchen.moved_h(comfrey, before[0]) == pytest.approx(0.0, abs=0.2)
    assert kitchen.moved_h(yarrow, before[1]) == pytest.approx(0.0, abs=0.2)


def test_after_a_restart_the_station_believes_the_same(kitchen: Kitchen) -> None:
    for jar in three_strained_jars(kitchen):
        kitchen.judges(jar, Judgement.TOO_EARLY)
    jar = kitchen.packs("comfrey")
    kitchen.lives(4.0)  # the judged jars are long out of sight
    before = kitchen.outlook(jar)
    kitchen.stand.end()
    kitchen.stand = a_stand(kitchen.folder)
    kitchen.lives(0.02)
    assert kitchen.outlook(jar).need_likely == before.need_likely > 5.7


def test_a_jar_recorded_days_later_teaches_with_the_warmth_it_had_when_it_was_strained(kitchen: Kitchen) -> None:
    jar = kitchen.packs("comfrey")
    kitchen.lives(10.0)
    kitchen.strains(jar, Judgement.TOO_EARLY, at=START + timedelta(days=6))  # out of sight at once
    following = kitchen.packs("comfrey")
    kitchen.lives(0.1)
    kept = ShelfReader(kitchen.folder / "shelf.db").outlook(jar.id)
    assert kept is not None
    assert kept.heat.warmth.observed_h == pytest.approx(144.0, abs=0.5)
    assert kitchen.outlook(following).need_likely > 5.6


def test_a_jar_recorded_only_after_it_was_strained_is_counted_from_the_log(kitchen: Kitchen) -> None:
    kitchen.lives(10.0)
    jar = kitchen.packs("comfrey", START)
    kitchen.strains(jar, Judgement.TOO_EARLY, at=START + timedelta(days=6))
    kitchen.lives(0.05)
    kept = ShelfReader(kitchen.folder / "shelf.db").outlook(jar.id)
    assert kept is not None
    assert kept.heat.warmth.warm_days() == pytest.approx(6.0, abs=0.05)


def test_a_judged_jar_that_nobody_measured_teaches_nothing(kitchen: Kitchen) -> None:
    kitchen.sleeps(10.0)
    jar = kitchen.packs("comfrey", START)
    kitchen.strains(jar, Judgement.TOO_EARLY, at=START + timedelta(days=6))
    following = kitchen.packs("comfrey")
    kitchen.lives(0.1)
    assert kitchen.outlook(following).need_likely == pytest.approx(5.5, rel=1e-3)


def test_a_need_set_by_hand_moves_the_dates_and_a_reset_moves_them_back(kitchen: Kitchen) -> None:
    jar = kitchen.packs("comfrey")
    kitchen.lives(1.0)
    before_at = kitchen.likely_at(jar)
    HandSetNeeds(kitchen.grower).set_to("comfrey", 4.5, now_at=kitchen.now_at)
    kitchen.lives(0.02)
    assert kitchen.moved_h(jar, before_at) == pytest.approx(-24.0, abs=1.0)  # one warm-day at 20 °C is one day
    HandSetNeeds(kitchen.grower).reset("comfrey", now_at=kitchen.now_at)
    kitchen.lives(0.02)
    assert kitchen.moved_h(jar, before_at) == pytest.approx(0.0, abs=0.2)


def test_when_the_need_changes_so_does_when_the_jar_was_ready(kitchen: Kitchen) -> None:
    jar = kitchen.packs("comfrey")
    kitchen.lives(5.0)
    assert kitchen.outlook(jar).ready_at is None
    HandSetNeeds(kitchen.grower).set_to("comfrey", 4.0, now_at=kitchen.now_at)
    kitchen.lives(0.02)
    ready_at = kitchen.outlook(jar).ready_at
    assert ready_at is not None
    assert abs(ready_at - START - timedelta(days=4)) < timedelta(hours=1)
    HandSetNeeds(kitchen.grower).set_to("comfrey", 6.0, now_at=kitchen.now_at)
    kitchen.lives(0.02)
    assert kitchen.outlook(jar).ready_at is None


def test_a_jar_long_past_its_best_is_to_be_strained_at_the_next_chance_never_on_an_evening_gone_by(
    kitchen: Kitchen,
) -> None:
    jar = kitchen.packs("comfrey")
    kitchen.lives(14.0)
    outlook = kitchen.outlook(jar)
    assert outlook.chance_past > 0.95
    assert outlook.evening_at is not None
    assert timedelta() < outlook.evening_at - kitchen.now_at < timedelta(days=1)
