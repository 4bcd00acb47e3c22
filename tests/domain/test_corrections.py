"""Corrections: a line through known points, and the way back."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.corrections import (
    Correction,
    Point,
    Quantity,
    corrected,
    due_again,
    humidity_correction,
    joined,
    light_correction,
    raw_value,
    true_value,
)
from station.domain.quality import LIGHT_MOST_LX, Reason, SensorState, judge_sample
from station.domain.readings import Sample
from station.errors import JarsideError
from tests.builders import START


def a_point(raw: float, true: float) -> Point:
    return Point(raw, true, "known", START)


def humidity(*pairs: tuple[float, float]) -> Correction:
    return humidity_correction("air", [a_point(*pair) for pair in pairs], START)


def light(*pairs: tuple[float, float]) -> Correction:
    return light_correction("light", [a_point(*pair) for pair in pairs], START)


def test_one_salt_gives_an_offset():
    correction = humidity((81.5, 75.5))
    assert (correction.gain, correction.offset, correction.residual) == (1.0, -6.0, 0.0)


def test_two_salts_give_the_line_through_them():
    correction = humidity((33.1 * 1.08 + 6, 33.1), (75.5 * 1.08 + 6, 75.5))
    for true_pct in (33, 60, 85):
        assert true_value(correction, true_pct * 1.08 + 6) == pytest.approx(true_pct, abs=1e-9)
    assert correction.residual == pytest.approx(0.0, abs=1e-9)


def test_two_salts_close_together_give_only_an_offset():
    """Sodium and potassium chloride: a slope through them would be made of their errors."""
    correction = humidity((80.5, 75.5), (91.1, 85.1))
    assert correction.gain == 1.0
    assert correction.offset == pytest.approx(-5.5)
    assert correction.residual == pytest.approx(0.5)


def test_three_salts_leave_a_residual_that_is_said():
    correction = humidity((33, 33), (76, 75), (85, 85))
    assert 0.3 < correction.residual < 0.7


@pytest.mark.parametrize("pairs", [[(98.0, 75.5)], [(33.0, 33.1), (50.0, 75.5)], [(50.0, 33.1), (50.0, 75.5)]])
def test_a_broken_sensor_is_not_corrected(pairs):
    with pytest.raises(JarsideError) as caught:
        humidity(*pairs)
    assert "air" in caught.value.what
    assert caught.value.remedy


def test_one_known_light_gives_a_factor():
    correction = light((200.0, 300.0))
    assert true_value(correction, 400.0) == pytest.approx(600.0)


def test_two_known_lights_give_a_line_in_logarithms():
    correction = light((100.0, 200.0), (10_000.0, 4_000.0))
    assert correction.gain == pytest.approx(0.65051, abs=1e-5)  # log10(20) / log10(100)
    assert true_value(correction, 1000.0) == pytest.approx((200 * 4000) ** 0.5)  # half way in logarithms


@pytest.mark.parametrize(
    "pairs", [[], [(0.0, 300.0)], [(300.0, 0.0)], [(5000.0, 300.0), (300.0, 8000.0)], [(300.0, 300.0), (300.0, 8000.0)]]
)
def test_lights_that_make_no_sense_are_refused(pairs):
    with pytest.raises(JarsideError):
        light(*pairs)


def test_darkness_stays_darkness():
    correction = light((100.0, 200.0), (10_000.0, 4_000.0))
    assert true_value(correction, 0.0) == 0.0
    assert raw_value(correction, 0.0) == 0.0


def test_a_sample_gets_the_corrections_of_its_own_sensor_only():
    sample = Sample("air", 20.0, 81.5, 100.0)
    assert corrected(sample, [light((100.0, 200.0))]) == sample
    assert corrected(sample, [humidity((81.5, 75.5))]) == Sample("air", 20.0, 75.5, 100.0)


def test_light_at_full_scale_is_believed_whatever_the_correction():
    """Behind a diffuser a quarter of the light arrives: a BH1750 at its 54,612 lx would say 218,448."""
    sample = corrected(Sample("light", light_lx=54_612.0, saturated=True), [light((2000.0, 8000.0))])
    _, judged = judge_sample(SensorState(), sample, 0.0)
    assert judged.light is Reason.SATURATED
    assert judged.sample.light_lx == LIGHT_MOST_LX


def test_saturation_is_still_said_after_a_correction():
    assert corrected(Sample("light", light_lx=100.0, saturated=True), [light((100.0, 200.0))]).saturated


@pytest.mark.parametrize(("rh_pct", "expected"), [(3.0, 0.0), (99.9, 93.9)])
def test_corrected_humidity_stays_within_nothing_and_everything(rh_pct: float, expected: float):
    assert corrected(Sample("air", 20.0, rh_pct), [humidity((81.5, 75.5))]).rh_pct == pytest.approx(expected)


@given(st.floats(10, 90), st.floats(0.8, 1.2), st.floats(-8, 8))
def test_a_raw_humidity_can_be_worked_out_again(raw: float, gain: float, offset: float):
    correction = Correction("air", Quantity.HUMIDITY, gain, offset, 0.0, (), START)
    assert raw_value(correction, true_value(correction, raw)) == pytest.approx(raw)


@given(st.floats(0.1, 100_000), st.floats(0.5, 2), st.floats(-2, 2))
def test_a_raw_light_can_be_worked_out_again(raw: float, gain: float, offset: float):
    correction = Correction("light", Quantity.LIGHT, gain, offset, 0.0, (), START)
    assert raw_value(correction, true_value(correction, raw)) == pytest.approx(raw)


def test_a_humidity_correction_is_due_again_after_a_year_and_a_light_correction_never():
    later = START + timedelta(days=366)
    assert not due_again(humidity((81.5, 75.5)), START + timedelta(days=364))
    assert due_again(humidity((81.5, 75.5)), later)
    assert not due_again(light((200.0, 300.0)), later)


def test_a_naive_time_is_refused():
    with pytest.raises(JarsideError, match="naive"):
        humidity_correction("air", [a_point(81.5, 75.5)], START.replace(tzinfo=None))


def test_a_second_salt_joins_the_first_and_the_same_salt_replaces_it():
    first, second, again = a_point(81.5, 75.5), a_point(39.0, 33.1), a_point(81.0, 75.4)
    assert joined((), first, Quantity.HUMIDITY) == (first,)
    assert joined((first,), second, Quantity.HUMIDITY) == (first, second)
    assert joined((first, second), again, Quantity.HUMIDITY) == (second, again)


def test_a_salt_point_of_last_year_does_not_make_a_line_with_todays():
    old, new = a_point(81.5, 75.5), replace(a_point(39.0, 33.1), at=START + timedelta(days=61))
    assert joined((old,), new, Quantity.HUMIDITY) == (new,)


def test_moments_of_light_join_however_old_unless_they_are_much_alike():
    old, new = a_point(100, 300), replace(a_point(900, 8000), at=START + timedelta(days=400))
    assert joined((old,), new, Quantity.LIGHT) == (old, new)
    again = a_point(120, 350)
    assert joined((old, new), again, Quantity.LIGHT) == (new, again)
