from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest

from station.domain.observations import Bubbles, Juice, Seen
from station.domain.signs import Sign, first_bubbles_due_at, first_juice_due_at, question
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
    assert first_bubbles_due_at(START, None) == first_bubbles_due_at(START, 20.0)


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
