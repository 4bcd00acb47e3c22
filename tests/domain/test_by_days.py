"""Jars that go by days."""

from dataclasses import replace
from datetime import time, timedelta

import pytest

from station.domain.by_days import outlook_by_days
from station.domain.evening import EveningRule
from station.domain.jars import Discarded, Packed, Stage, jar_from
from station.domain.packing import Packing
from station.domain.preparations import Preparation
from tests.builders import START
from tests.store.worlds import an_outlook

RULE = EveningRule(time(19), zone="UTC")
STEEP = Packed("steep-1", START, "comfrey", 1000.0, packing=Packing(Preparation.STEEP, 7.0))
DUE = START + timedelta(days=7)


def thought(at, *more, rule=RULE):
    jar = jar_from([STEEP, *more])
    return outlook_by_days(jar, jar.due_at, an_outlook("steep-1", chance_ready=0.9), at, rule)


def test_it_is_ready_when_it_has_stood_its_days_however_warm_it_was():
    assert thought(DUE - timedelta(minutes=1)).stage is Stage.WORKING
    ready = thought(DUE)
    assert (ready.stage, ready.ready_at, ready.chance_ready) == (Stage.READY, DUE, 1.0)
    assert thought(DUE + timedelta(days=30)).stage is Stage.READY


@pytest.mark.parametrize("days", [0, 3, 6])
def test_the_evening_of_the_day_it_is_due_is_proposed(days):
    # due at 06:00 on 11 May: the nearest evening of 19:00 is that of the 10th
    assert thought(START + timedelta(days=days)).evening_at == START.replace(day=10, hour=19)


def test_an_evening_gone_by_moves_to_the_next_and_days_away_are_left_out():
    late = DUE + timedelta(days=2)
    assert thought(late).evening_at == late.replace(hour=19)
    away = EveningRule(time(19), zone="UTC", days_away=frozenset({late.weekday()}))
    assert thought(late, rule=away).evening_at == (late + timedelta(days=1)).replace(hour=19)


def test_an_evening_that_has_begun_is_still_the_evening_until_midnight():
    """Who came at half past seven to strain it was told to do so tomorrow."""
    jar, evening_at = jar_from([STEEP]), START.replace(day=10, hour=19)
    proposed = replace(thought(START), evening_at=evening_at)

    def evening(minutes):
        return outlook_by_days(jar, DUE, proposed, evening_at + timedelta(minutes=minutes), RULE).evening_at

    assert [evening(minutes) for minutes in (-1, 0, 30, 299)] == [evening_at] * 4
    assert evening(300) == evening_at + timedelta(days=1)


def test_a_discarded_one_stays_discarded():
    assert thought(DUE, Discarded("steep-1", DUE)).stage is Stage.DISCARDED
