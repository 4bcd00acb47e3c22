"""A grower judges jars, and the station's dates follow."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from station.domain.jars import Jar, Judgement
from station.store.needs import HandSetNeeds
from station.store.shelf_reader import ShelfReader
from tests.builders import START
from tests.daemon.kitchen import Kitchen
from tests.daemon.world import a_stand


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Kitchen]:
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


def test_many_such_jars_are_counted_one_a_minute(kitchen: Kitchen) -> None:
    kitchen.lives(10.0)
    late = [kitchen.packs("comfrey", START) for _ in range(3)]
    for jar in late:
        kitchen.strains(jar, Judgement.TOO_EARLY, at=START + timedelta(days=6))
    following = kitchen.packs("comfrey")
    needs = []
    for _ in range(5):
        kitchen.lives(1 / 72)  # one reading
        needs.append(kitchen.outlook(following).need_likely)
    assert 5.5 < needs[0] < needs[1] < needs[2] == needs[3] == needs[4]


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
    HandSetNeeds(kitchen.grower).take_back_reset("comfrey", now_at=kitchen.now_at)
    kitchen.lives(0.02)
    assert kitchen.moved_h(jar, before_at) == pytest.approx(-24.0, abs=1.0)


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


def test_when_the_base_changes_so_does_when_the_jar_was_ready(kitchen: Kitchen) -> None:
    # a warm-day is a day at 20 °C: (20 − base) / (26 − base) days at 26 °C, so 5.5 are 5.5 × 14 / 20 or 5.5 × 16 / 22
    jar = kitchen.packs("comfrey")
    kitchen.lives(5.0, temp_c=26.0)
    for base_c, days in ((6.0, 3.85), (4.0, 4.0)):
        kitchen.stand.end()
        kitchen.stand = a_stand(kitchen.folder, strain={"base_c": base_c})
        kitchen.lives(0.02, temp_c=26.0)
        outlook = kitchen.outlook(jar)
        assert outlook.base_c == base_c
        assert outlook.ready_at is not None
        assert abs(outlook.ready_at - START - timedelta(days=days)) < timedelta(hours=1)


def test_a_jar_long_past_its_best_is_to_be_strained_at_the_next_chance_never_on_an_evening_gone_by(
    kitchen: Kitchen,
) -> None:
    jar = kitchen.packs("comfrey")
    kitchen.lives(14.0)
    outlook = kitchen.outlook(jar)
    assert outlook.chance_past > 0.95
    assert outlook.evening_at is not None
    assert timedelta() < outlook.evening_at - kitchen.now_at < timedelta(days=1)
