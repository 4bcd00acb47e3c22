from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import pytest

from station.domain.jars import Jar, Noted
from station.domain.observations import Bubbles, Juice, Seen
from station.domain.packing import Packing
from station.domain.preparations import Preparation
from station.domain.signs import Sign, first_juice_due_at, first_signs, question
from tests.builders import START


@dataclass(frozen=True)
class ALook:
    at: datetime
    seen: Seen


def after(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def asked(hours: float, *looks: ALook, temp_c: float | None = 20.0) -> Sign | None:
    found = question(START, temp_c, looks, after(hours))
    return found.sign if found else None


def test_the_first_juice_comes_within_hours() -> None:
    due_at = first_juice_due_at(START, 20.0)
    assert timedelta(hours=4) < due_at - START < timedelta(hours=24)  # common practice


@pytest.mark.parametrize("temp_c", [-5.0, 5.0, 12.0, 18.0, 25.0, 40.0])
def test_warmth_hurries_it_and_cold_delays_it_to_a_day_at_most(temp_c: float) -> None:
    due = first_juice_due_at(START, temp_c) - START
    assert timedelta(hours=6) < due <= timedelta(hours=24)
    assert (due > timedelta(hours=12)) == (temp_c < 20.0)


def test_an_unknown_temperature_counts_as_20_degrees() -> None:
    assert first_juice_due_at(START, None) == first_juice_due_at(START, 20.0)
    two_days_on = START + timedelta(hours=48)
    assert question(START, None, (), two_days_on) == question(START, 20.0, (), two_days_on)


def test_nothing_is_asked_too_early_and_nothing_for_ever() -> None:
    assert asked(11.0) is None
    assert asked(12.0) is Sign.JUICE
    assert asked(47.0) is Sign.JUICE
    assert asked(48.0) is Sign.BUBBLES
    assert asked(97.0) is None


def test_the_question_is_in_plain_words() -> None:
    found = question(START, 20.0, [], after(13.0))
    assert found is not None
    assert found.text == "By now juice should be showing: is it?"
    assert found.due_at == after(12.0)


@pytest.mark.parametrize("juice", list(Juice))
def test_an_answer_settles_it(juice: Juice) -> None:
    assert asked(14.0, ALook(after(13.0), Seen(juice=juice))) is None


def test_a_look_before_it_was_due_that_found_none_does_not_settle_it() -> None:
    assert asked(14.0, ALook(after(3.0), Seen(juice=Juice.NONE))) is Sign.JUICE


def test_juice_seen_before_it_was_due_settles_it() -> None:
    assert asked(14.0, ALook(after(3.0), Seen(juice=Juice.SOME))) is None


def test_a_look_that_did_not_look_for_it_settles_nothing() -> None:
    assert asked(14.0, ALook(after(13.0), Seen(bubbles=Bubbles.NONE))) is Sign.JUICE


def test_who_saw_bubbles_is_asked_neither_for_them_nor_for_juice() -> None:
    assert asked(14.0, ALook(after(10.0), Seen(bubbles=Bubbles.FEW))) is None
    assert asked(50.0, ALook(after(10.0), Seen(bubbles=Bubbles.MANY))) is None


def test_no_bubbles_answered_in_time_is_not_asked_again() -> None:
    seen = [ALook(after(13.0), Seen(juice=Juice.SOME)), ALook(after(49.0), Seen(bubbles=Bubbles.NONE))]
    assert asked(60.0, *seen) is None


def a_jar(*looks: ALook) -> Jar:
    notes = tuple(Noted("comfrey-1", look.at, "", look.seen) for look in looks)
    return Jar("comfrey-1", "comfrey", START, 1000.0, notes=notes)


def test_a_fresh_jar_says_by_when_juice_should_show_and_asks_when_it_is_time() -> None:
    early, due = (first_signs(a_jar(), 20.0, after(hours)) for hours in (2, 13))
    assert early is not None
    assert early.juice_due_at == after(12)
    assert early.question is None
    assert due is not None
    assert due.question is not None
    assert due.question.sign is Sign.JUICE


def test_an_answer_kept_with_the_jar_ends_the_question() -> None:
    for juice, due_at in ((Juice.SOME, None), (Juice.NONE, after(12))):
        found = first_signs(a_jar(ALook(after(13), Seen(juice=juice))), 20.0, after(14))
        assert found is not None
        assert (found.juice_due_at, found.question) == (due_at, None)


def test_nothing_is_looked_for_off_the_shelf_or_in_a_jar_that_goes_by_days() -> None:
    assert first_signs(replace(a_jar(), strained_at=after(10)), 20.0, after(13)) is None
    vinegar = replace(a_jar(), packing=Packing(Preparation.VINEGAR))
    assert first_signs(vinegar, 20.0, after(13)) is None


def test_days_later_nobody_need_look_for_the_first_juice() -> None:
    found = first_signs(a_jar(), 20.0, after(140))
    assert found is not None
    assert (found.juice_due_at, found.question) == (None, None)
