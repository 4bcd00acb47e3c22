import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.readiness import (
    NEEDS,
    Belief,
    belief_of,
    chance_past,
    chance_ready,
    default_belief,
    need_range,
    possible_ch,
)
from station.domain.warmth import BASES_C, Warmth, approach
from station.errors import JarsideError

BELIEF = default_belief()


def days_at(temp_c: float, days: float) -> Warmth:
    return Warmth().after(approach(temp_c, temp_c, days * 86400.0, 0.0))


def sure_of(need: float) -> Belief:
    nearest = min(range(len(NEEDS)), key=lambda index: abs(NEEDS[index] - need))
    column = [1.0 if index == nearest else 0.0 for index in range(len(NEEDS))]
    return belief_of([column for _ in BASES_C])


def test_before_any_jar_the_need_is_five_and_a_half_days_give_or_take() -> None:
    need = need_range(BELIEF)
    assert need.median == pytest.approx(5.5, abs=0.001)  # common practice: five or six days at 20 °C
    assert 4.0 < need.low < 5.0
    assert 6.0 < need.high < 7.0


def test_weights_sum_to_one() -> None:
    assert math.fsum(math.fsum(row) for row in BELIEF.weights) == pytest.approx(1.0)


def test_a_jar_that_had_its_need_at_20_degrees_is_as_likely_ready_as_not() -> None:
    assert chance_ready(BELIEF, days_at(20.0, 5.5)) == pytest.approx(0.5, abs=0.001)


def test_at_20_degrees_seven_days_are_as_likely_past_as_not() -> None:
    assert chance_past(BELIEF, days_at(20.0, 7.15)) == pytest.approx(0.5, abs=0.01)  # CTAHR SA-7: about 7 days


def test_nothing_measured_claims_nothing() -> None:
    assert chance_ready(BELIEF, Warmth()) == 0.0
    assert chance_past(BELIEF, Warmth(missing_h=500.0)) == 0.0


def test_far_too_much_warmth_is_surely_past() -> None:
    assert chance_past(BELIEF, days_at(20.0, 60.0)) == pytest.approx(1.0, abs=0.001)


def test_in_the_cold_the_same_working_time_says_less() -> None:
    sure, unsure = days_at(20.0, 5.5), days_at(13.0, 5.5 * 13.0 / 6.0)  # the same warm-days at base 7
    beyond = [chance_ready(BELIEF, warmth.after(approach(20.0, 20.0, 86400.0, 0.0))) for warmth in (sure, unsure)]
    assert beyond[0] > beyond[1]


@given(st.floats(0.0, 40.0), st.floats(0.1, 30.0), st.floats(0.0, 20.0))
def test_chances_are_chances_and_past_is_never_likelier_than_ready(temp_c: float, days: float, gap_h: float) -> None:
    warmth = days_at(temp_c, days).bridged(temp_c, gap_h * 3600.0)
    ready, past = chance_ready(BELIEF, warmth), chance_past(BELIEF, warmth)
    assert 0.0 <= past <= ready <= 1.0 + 1e-9


@given(st.floats(8.0, 35.0), st.floats(0.1, 20.0), st.floats(0.0, 5.0))
def test_more_warmth_never_makes_it_less_likely_ready(temp_c: float, days: float, more: float) -> None:
    warmth = days_at(temp_c, days)
    later = warmth.after(approach(temp_c, temp_c, more * 86400.0 + 1.0, 0.0))
    assert chance_ready(BELIEF, later) >= chance_ready(BELIEF, warmth) - 1e-12


def test_missing_hours_widen() -> None:
    measured = days_at(20.0, 5.5)
    gappy = Warmth(days_at(20.0, 3.5).excess_ch, 84.0, 0.0, 48.0)  # two of five and a half days unknown
    assert chance_ready(BELIEF, gappy) == pytest.approx(chance_ready(BELIEF, measured), abs=0.05)
    sharp = sure_of(5.5)
    at_first, at_last = days_at(20.0, 4.6), days_at(20.0, 6.4)
    for known, change in ((at_first, 1), (at_last, -1)):
        hours = known.observed_h
        unknown = Warmth(tuple(0.6 * one for one in known.excess_ch), 0.6 * hours, 0.0, 0.4 * hours)
        assert change * (chance_ready(sharp, unknown) - chance_ready(sharp, known)) > 0.0


def test_missing_hours_are_taken_to_be_like_the_known_ones_more_or_less() -> None:
    cases = possible_ch(Warmth(days_at(20.0, 1.0).excess_ch, 24.0, 0.0, 24.0))
    assert math.fsum(weight for _, weight in cases) == pytest.approx(1.0)
    mean = [math.fsum(weight * one[base] for one, weight in cases) for base in range(len(BASES_C))]
    assert mean == pytest.approx([48.0 * (20.0 - base_c) for base_c in BASES_C])


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"need_warm_days": 1.0}, "need 1 warm-days"),
        ({"need_warm_days": 16.0}, "need 16 warm-days"),
        ({"log_sd": 0.05}, "spread of the need 0.05"),
        ({"base_c": 3.9}, "base temperature 3.9 °C"),
        ({"base_c": 11.0}, "base temperature 11 °C"),
        ({"need_warm_days": math.nan}, "need nan"),
    ],
)
def test_what_cannot_be_a_need_is_refused_in_words(changes: dict[str, float], what: str) -> None:
    with pytest.raises(JarsideError, match="out of bounds") as caught:
        default_belief(**changes)
    assert caught.value.what.startswith(what)
    assert caught.value.remedy.startswith("Give ")


def test_another_base_is_the_likeliest_if_it_is_set() -> None:
    by_base = [math.fsum(column) for column in zip(*default_belief(base_c=9.0).weights, strict=True)]
    assert max(by_base) == by_base[BASES_C.index(9.0)]


def test_a_need_at_the_end_of_the_grid_has_a_range_too() -> None:
    lowest, highest = need_range(sure_of(NEEDS[0])), need_range(sure_of(NEEDS[-1]))
    assert lowest.low == NEEDS[0]
    assert NEEDS[0] < lowest.median < lowest.high < 1.2 * NEEDS[0]
    assert NEEDS[-1] / 1.2 < highest.low < highest.median < highest.high < NEEDS[-1]
