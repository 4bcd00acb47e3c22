import math
from dataclasses import replace
from statistics import fmean, stdev

import pytest

from sim.jar import Jar, JarState, WorkingJar, cooled_c, sun_gain_c, time_constant_s

DANDELION = Jar("dandelion-1", "dandelion", need_days=5.5)


def stood(
    hours: float, air_c: float = 20.0, beam_wm2: float = 0.0, jar: Jar = DANDELION, start_c: float = 20.0
) -> JarState:
    working = WorkingJar(jar, seed=1)
    state = working.step(0.0, 60.0, start_c, 0.0)
    for minute in range(1, round(hours * 60) + 1):
        state = working.step(60.0 * minute, 60.0, air_c, beam_wm2)
    return state


def test_five_and_a_half_days_at_20_degrees_make_a_jar_ready() -> None:
    assert stood(132.0).progress == pytest.approx(1.0, rel=1e-9)


def test_a_jar_works_slower_in_the_cold_and_faster_in_the_warm() -> None:
    # Rates relative to 20 °C by the cardinal temperature model: 12 °C 0.354, 28 °C 1.567.
    assert stood(48.0, 12.0, start_c=12.0).progress == pytest.approx(0.354 * 2 / 5.5, rel=0.002)
    assert stood(48.0, 28.0, start_c=28.0).progress == pytest.approx(1.567 * 2 / 5.5, rel=0.002)


def test_steps_of_any_length_cool_a_jar_alike() -> None:
    at_once = cooled_c(30.0, 20.0, 7200.0, 11880.0)
    in_steps = 30.0
    for _ in range(120):
        in_steps = cooled_c(in_steps, 20.0, 60.0, 11880.0)
    assert in_steps == pytest.approx(at_once)


def test_a_bigger_jar_is_slower_and_an_emptier_one_faster() -> None:
    assert time_constant_s(2000.0, 1.0) == pytest.approx(time_constant_s(1000.0, 1.0) * 2 ** (1 / 3))
    assert time_constant_s(1000.0, 0.67) < time_constant_s(1000.0, 1.0)


def test_sun_warms_a_jar_above_the_air() -> None:
    warm = stood(40.0, beam_wm2=400.0)
    assert warm.temp_c == pytest.approx(20.0 + sun_gain_c(400.0), abs=0.01)
    assert 5.0 < sun_gain_c(400.0) < 20.0


def test_a_jar_does_nothing_before_it_is_packed() -> None:
    working = WorkingJar(replace(DANDELION, packed_after_h=10.0), seed=1)
    before = working.step(35_000.0, 60.0, 25.0, 0.0)
    assert (before.packed, before.progress, before.juice) == (False, 0.0, 0.0)
    assert working.step(36_000.0, 60.0, 25.0, 0.0).packed


def test_first_juice_shows_within_hours() -> None:
    # Common practice: first juice within hours of packing.
    assert 0.1 < stood(6.0).juice < 0.7
    assert stood(96.0).juice > 0.95


def test_a_jar_is_liveliest_a_third_of_the_way_and_quiet_in_the_end() -> None:
    early, lively, ready = (stood(share * 132.0).bubbling for share in (0.02, 1 / 3, 1.0))
    assert lively == pytest.approx(1.0, abs=0.01)
    assert early < 0.3
    assert ready < 0.5


def test_the_true_need_is_drawn_about_five_and_a_half_days_for_each_jar() -> None:
    drawn = [WorkingJar(Jar(f"jar-{n}", "dandelion"), seed=1).need_days for n in range(2000)]
    logs = [math.log(days / 5.5) for days in drawn]
    assert fmean(logs) == pytest.approx(0.0, abs=0.01)
    assert stdev(logs) == pytest.approx(0.10, abs=0.01)
    assert WorkingJar(Jar("jar-7", "dandelion"), seed=1).need_days == drawn[7]
