"""Warmth: exact, additive, monotone, and honest about gaps."""

import math
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.readings import Mark, ProbeReading
from station.domain.warmth import (
    BASES_C,
    CAP_C,
    JarHeat,
    Warmth,
    approach,
    degree_hours,
    excess_c,
    followed,
    followed_all,
    fresh,
    relative_rate,
    sun_gain_c,
    time_constant_s,
    warm_days_of,
)
from tests.builders import START, a_reading

TAU_S = 3.3 * 3600
temps = st.floats(-20, 50)
spans = st.floats(1, 200_000)
taus = st.floats(600, 50_000)


def test_a_day_at_20_degrees_is_one_warm_day() -> None:
    for base_c in BASES_C:
        stretch = approach(20.0, 20.0, 86400.0, 0.0)
        assert warm_days_of(degree_hours(stretch, base_c), base_c) == pytest.approx(1.0)


def test_the_rate_is_clamped_to_base_and_cap() -> None:
    assert relative_rate(3.0) == 0.0
    assert relative_rate(20.0) == 1.0
    assert relative_rate(45.0) == relative_rate(30.0) == pytest.approx(23 / 13)
    assert excess_c(6.9) == 0.0


def test_degree_hours_at_another_base_make_other_warm_days() -> None:
    assert warm_days_of(1716.0) == pytest.approx(5.5)  # 5.5 days of 24 h, 13 °C above the base
    assert warm_days_of(5.5 * 24.0 * 11.0, 9.0) == pytest.approx(5.5)


def test_a_quarter_of_the_contents_follows_faster() -> None:
    assert time_constant_s(1000.0) == pytest.approx(TAU_S)
    assert time_constant_s(125.0) == pytest.approx(TAU_S / 2)


@given(
    start_c=temps, target_c=temps, span_s=spans, tau_s=taus, part=st.floats(0.05, 0.95), base_c=st.sampled_from(BASES_C)
)
def test_warmth_adds_up_over_any_split(
    start_c: float, target_c: float, span_s: float, tau_s: float, part: float, base_c: float
) -> None:
    whole = approach(start_c, target_c, span_s, tau_s)
    first = approach(start_c, target_c, span_s * part, tau_s)
    second = approach(first.end_c, target_c, span_s * (1 - part), tau_s)
    assert second.end_c == pytest.approx(whole.end_c, abs=1e-6)
    parts = degree_hours(first, base_c) + degree_hours(second, base_c)
    assert parts == pytest.approx(degree_hours(whole, base_c), rel=1e-6, abs=1e-6)


@given(
    start_c=temps, target_c=temps, warmer_c=st.floats(0, 10), span_s=spans, tau_s=taus, base_c=st.sampled_from(BASES_C)
)
def test_a_warmer_shelf_never_gives_less_warmth(
    start_c: float, target_c: float, warmer_c: float, span_s: float, tau_s: float, base_c: float
) -> None:
    cool = degree_hours(approach(start_c, target_c, span_s, tau_s), base_c)
    warm = degree_hours(approach(start_c, target_c + warmer_c, span_s, tau_s), base_c)
    assert warm >= cool - 1e-6


@given(start_c=temps, target_c=temps, span_s=st.floats(60, 40_000), tau_s=taus, base_c=st.sampled_from(BASES_C))
def test_the_closed_form_equals_a_fine_sum(
    start_c: float, target_c: float, span_s: float, tau_s: float, base_c: float
) -> None:
    pieces = 4000
    middle_s = [(k + 0.5) * span_s / pieces for k in range(pieces)]
    jar_c = [target_c + (start_c - target_c) * math.exp(-at_s / tau_s) for at_s in middle_s]
    summed = sum(min(max(temp_c, base_c), CAP_C) - base_c for temp_c in jar_c) * span_s / pieces / 3600
    assert degree_hours(approach(start_c, target_c, span_s, tau_s), base_c) == pytest.approx(summed, abs=2e-3, rel=2e-4)


@given(st.lists(st.tuples(temps, st.floats(60, 7200)), max_size=20), st.floats(4, 10))
def test_between_the_kept_bases_warmth_is_interpolated_within_its_neighbours(
    stretches: list[tuple[float, float]], base_c: float
) -> None:
    warmth = Warmth()
    for temp_c, span_s in stretches:
        warmth = warmth.after(approach(temp_c, temp_c, span_s, 0.0))
    low, high = math.floor(base_c) - 4, min(math.ceil(base_c), 10) - 4
    bounds = sorted((warmth.excess_ch[low], warmth.excess_ch[high]))
    assert bounds[0] - 1e-9 <= warmth.degree_hours(base_c) <= bounds[1] + 1e-9
    assert warmth.degree_hours(base_c + 20) == warmth.excess_ch[-1]


def a_jar_followed(*readings: object) -> JarHeat:
    return followed_all(fresh(START), readings, TAU_S)  # type: ignore[arg-type]


def test_a_jar_begins_at_the_temperature_of_its_first_reading() -> None:
    heat = a_jar_followed(a_reading(1, 18.0))
    assert heat.temp_c == 18.0
    assert heat.warmth.observed_h == pytest.approx(1 / 60)


def test_readings_before_the_packing_do_not_count() -> None:
    assert a_jar_followed(a_reading(-5, 18.0), a_reading(0, 18.0)) == fresh(START)


def test_a_jar_lags_behind_the_shelf() -> None:
    readings = [a_reading(1, 30.0), *(a_reading(minute, 20.0) for minute in range(2, 200))]
    heat = a_jar_followed(*readings)
    assert heat.temp_c == pytest.approx(20 + 10 * math.exp(-198 * 60 / TAU_S), abs=1e-6)


def test_a_probe_takes_precedence_and_its_loss_falls_back_to_the_shelf() -> None:
    probe = (ProbeReading("probe", 24.0),)
    heat = followed(fresh(START), a_reading(1, 18.0, probes=probe), TAU_S, "probe")
    assert heat.temp_c == 24.0
    heat = followed(heat, a_reading(2, 18.0), TAU_S, "probe")
    assert 23.9 < (heat.temp_c or 0) < 24.0


def test_minutes_without_a_temperature_become_a_gap_that_is_bridged_for_two_hours() -> None:
    heat = a_jar_followed(a_reading(1, 20.0), a_reading(2, None), a_reading(301, 20.0))
    assert heat.warmth.observed_h == pytest.approx(2 / 60)
    assert heat.warmth.bridged_h == pytest.approx(2.0)
    assert heat.warmth.missing_h == pytest.approx(299 / 60 - 2)
    assert heat.warmth.warm_days() == pytest.approx((2 + 2 / 60) / 24)


def test_a_reading_that_is_a_little_late_leaves_no_gap() -> None:
    heat = a_jar_followed(a_reading(1, 20.0), a_reading(2.4, 20.0))
    assert heat.warmth.bridged_h == 0.0
    assert heat.warmth.observed_h == pytest.approx(2.4 / 60)


def test_a_clock_that_steps_within_a_boot_changes_no_warmth() -> None:
    late = a_reading(2, 20.0)
    stepped = replace(late, measured_at=late.measured_at + timedelta(hours=5))
    heat = a_jar_followed(a_reading(1, 20.0), stepped)
    assert heat.warmth.observed_h == pytest.approx(2 / 60)
    assert heat.warmth.bridged_h == 0.0


def test_another_boot_is_joined_by_the_dated_time() -> None:
    heat = a_jar_followed(a_reading(1, 20.0), a_reading(61, 20.0, boot_id="next", boot_s=30.0))
    assert heat.warmth.bridged_h == pytest.approx(59 / 60)


def test_a_repeated_reading_counts_once() -> None:
    one = a_jar_followed(a_reading(1, 20.0))
    assert followed(one, a_reading(1, 20.0), TAU_S) is one


def test_a_sensor_lit_by_the_sun_is_not_believed_but_its_jar_warms() -> None:
    lit = [a_reading(minute, 34.0, light_lx=20_000.0, marks=Mark.SUNLIT) for minute in range(2, 62)]
    heat = a_jar_followed(a_reading(1, 20.0), *lit)
    assert heat.warmth.observed_h == pytest.approx(1 / 60)
    assert heat.warmth.bridged_h == pytest.approx(1.0)
    warmed_c = sun_gain_c(20_000.0) * (1 - math.exp(-3600 / TAU_S))
    assert heat.temp_c == pytest.approx(20.0 + warmed_c)
    assert heat.shelf_c == 20.0


def test_a_sensor_lit_from_the_first_minute_on_says_nothing() -> None:
    assert a_jar_followed(a_reading(1, 34.0, marks=Mark.SUNLIT)) == fresh(START)


def test_full_sun_behind_glass_brings_a_jar_ten_degrees_above_the_air() -> None:
    """50,000 lx is about 600 W/m² of direct sun: the order that a dark jar on a sill reaches (common practice)."""
    assert 10.0 < sun_gain_c(50_000.0) < 18.0
