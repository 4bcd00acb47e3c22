import random
from dataclasses import dataclass
from math import exp, inf, nan, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.quality import Reason, SensorState, judge_sample
from station.domain.readings import Sample

GOOD, JUMP, DOUBLED, FIRST, STUCK = Reason.GOOD, Reason.JUMP, Reason.DOUBLED, Reason.UNCONFIRMED, Reason.STUCK


def a_sample(temp_c=None, rh_pct=None, light_lx=None, saturated=False):
    return Sample("shelf", temp_c, rh_pct, light_lx, saturated)


def judge(samples, every_s=10.0, state=None):
    """Push samples through a sensor's checks, one `every_s`; return what was judged, and the state."""
    state, judged = state or SensorState(), []
    for sample in samples:
        state, one = judge_sample(state, sample, every_s)
        judged.append(one)
    return judged, state


def temp_reasons(*temps_c, every_s=10.0):
    judged, _ = judge([a_sample(temp_c) for temp_c in temps_c], every_s)
    return [one.temp for one in judged]


def rh_reasons(*rhs_pct):
    judged, _ = judge([a_sample(rh_pct=rh_pct) for rh_pct in rhs_pct])
    return [one.rh for one in judged]


@dataclass
class World:
    """A sensor's life: every 10 s a read that may fail, or come doubled or halved, of a truth given by the second."""

    temp_c: object
    rh_pct: object
    seed: int
    miss_share: float = 0.3
    fault_share: float = 1 / 750

    def live(self, duration_s):
        """Yield second, faulted (`temp_c`, `rh_pct` or None) and what the checks made of the sample."""
        rng, state, last_s = random.Random(self.seed), SensorState(), 0
        for at_s in range(0, duration_s, 10):
            if rng.random() < self.miss_share:
                continue
            values = {
                "temp_c": round(self.temp_c(at_s) + rng.gauss(0, 0.1), 1),
                "rh_pct": round(self.rh_pct(at_s) + rng.gauss(0, 0.3), 1),
            }
            faulted = None
            if rng.random() < self.fault_share:
                faulted = rng.choice(["temp_c", "rh_pct"])
                values[faulted] *= rng.choice([0.5, 2.0])
            state, judged = judge_sample(state, Sample("shelf", **values), float(at_s - last_s))
            last_s = at_s
            yield at_s, faulted, judged


def steady(value):
    return lambda at_s: value


def a_step(before, after, at_s, lag_s):
    """A truth that changes at `at_s` and is followed by the sensor with its own lag."""
    return lambda now_s: before if now_s < at_s else after + (before - after) * exp(-(now_s - at_s) / lag_s)


# One value


def test_the_first_value_only_confirms_the_second():
    assert temp_reasons(20.0, 20.1, 20.0) == [FIRST, GOOD, GOOD]


def test_a_first_value_that_is_wrong_is_never_used():
    assert temp_reasons(40.2, 20.1, 20.0, 20.1) == [FIRST, FIRST, GOOD, GOOD]


def test_a_lone_jump_is_dropped():
    assert temp_reasons(20, 20, 27, 20, 20) == [FIRST, GOOD, JUMP, GOOD, GOOD]


def test_a_lone_doubled_value_is_dropped():
    assert temp_reasons(20, 20.2, 40.4, 20.1) == [FIRST, GOOD, DOUBLED, GOOD]


def test_a_lone_halved_value_is_dropped():
    assert rh_reasons(56, 56, 28.2, 56) == [FIRST, GOOD, DOUBLED, GOOD]


def test_a_humidity_that_doubles_past_saturation_is_out_of_range():
    assert rh_reasons(56, 56, 112, 56) == [FIRST, GOOD, Reason.OUT_OF_RANGE, GOOD]


def test_two_doubled_values_in_a_row_are_dropped():
    assert temp_reasons(20, 20, 40, 40.2, 20) == [FIRST, GOOD, DOUBLED, DOUBLED, GOOD]


def test_below_zero_a_doubled_value_is_dropped_too():
    assert temp_reasons(-10, -10, -20, -10) == [FIRST, GOOD, DOUBLED, GOOD]


# A true change


def test_a_change_is_believed_when_the_next_value_agrees():
    assert temp_reasons(22, 22, 9, 9.1, 9.0) == [FIRST, GOOD, JUMP, GOOD, GOOD]


def test_a_change_to_just_half_is_believed_when_three_values_agree():
    assert temp_reasons(22, 22, 11, 11, 11, 11, 11) == [FIRST, GOOD, DOUBLED, DOUBLED, DOUBLED, GOOD, GOOD]


def test_a_value_that_does_not_agree_takes_the_doubted_ones_place():
    assert temp_reasons(20, 20, 30, 26, 26.1) == [FIRST, GOOD, JUMP, JUMP, GOOD]


def test_a_change_of_two_degrees_needs_no_confirmation_and_one_of_more_does():
    assert temp_reasons(20, 20, 22, 24.1) == [FIRST, GOOD, GOOD, JUMP]


def test_a_change_may_be_larger_when_more_time_went_by():
    assert temp_reasons(20, 20, 25, every_s=120) == [FIRST, GOOD, JUMP]
    assert temp_reasons(20, 20, 25, every_s=180) == [FIRST, GOOD, GOOD]


def test_after_a_long_pause_a_large_change_still_needs_confirmation():
    assert temp_reasons(5, 5, 16, 17, every_s=3600) == [FIRST, GOOD, JUMP, GOOD]


def test_a_doubled_value_is_dropped_after_a_pause_too():
    assert temp_reasons(9, 9, 18, 9, every_s=300) == [FIRST, GOOD, DOUBLED, GOOD]


@pytest.mark.parametrize("lag_s", [1, 30, 60])
@pytest.mark.parametrize("seed", range(10))
def test_a_station_carried_from_the_kitchen_to_the_scullery_follows_within_two_minutes(seed, lag_s):
    carried = World(a_step(22, 9, 600, lag_s), a_step(50, 85, 600, lag_s), seed)
    temps = [(at_s, one.temp) for at_s, _, one in carried.live(1200)]
    settled_s = 600 + 3 * lag_s
    first_good_s = next(at_s for at_s, reason in temps if at_s >= settled_s and reason is GOOD)
    assert first_good_s - settled_s <= 120


@pytest.mark.parametrize("seed", range(20))
def test_a_kettles_steam_is_followed_within_two_minutes(seed):
    def steam(at_s):
        return 50 + min(max(at_s - 600, 0), 60) * 25 / 60

    used = [(at_s, one.sample.rh_pct) for at_s, _, one in World(steady(21), steam, seed).live(1200) if one.rh is GOOD]
    assert any(at_s <= 780 and rh_pct > 70 for at_s, rh_pct in used)


def test_over_a_fortnight_faults_are_dropped_and_nothing_else():
    def daily(at_s):
        return 19 + 3 * sin(2 * pi * at_s / 86400)

    lives = list(World(daily, steady(48), seed=4).live(14 * 86400))
    faulted = [one for _, faulted, one in lives if faulted]
    assert len(faulted) > 80
    assert all(one.doubted for one in faulted)
    assert sum(one.doubted for _, faulted, one in lives if not faulted) == 1  # the very first
    assert all(abs(one.sample.temp_c - daily(at_s)) < 1 for at_s, _, one in lives if one.temp is GOOD)


# The range


@pytest.mark.parametrize("temp_c", [-40.1, 80.1, 85.0, nan, inf, -inf])
def test_a_temperature_that_no_shelf_has_is_out_of_range(temp_c):
    assert temp_reasons(20, 20, temp_c, 20) == [FIRST, GOOD, Reason.OUT_OF_RANGE, GOOD]


@pytest.mark.parametrize("temp_c", [-40.0, 80.0])
def test_the_ends_of_the_range_are_inside(temp_c):
    assert temp_reasons(temp_c, temp_c) == [FIRST, GOOD]


@pytest.mark.parametrize("rh_pct", [-0.1, 105.1, 130, nan])
def test_a_humidity_that_no_air_has_is_out_of_range(rh_pct):
    assert rh_reasons(50, rh_pct) == [FIRST, Reason.OUT_OF_RANGE]


def test_a_humidity_a_little_above_saturation_is_taken_as_saturation():
    judged, _ = judge([a_sample(rh_pct=rh_pct) for rh_pct in (99.5, 103.0)])
    assert judged[-1].rh is GOOD
    assert judged[-1].sample.rh_pct == 100


def test_one_value_out_of_range_leaves_the_others():
    judged, _ = judge([a_sample(20, 50, 100), a_sample(20, 50, 100), a_sample(200, 51, 120)])
    assert judged[-1].sample == a_sample(None, 51, 120)
    assert judged[-1].reasons == (Reason.OUT_OF_RANGE, GOOD, GOOD)
    assert judged[-1].used
    assert judged[-1].doubted


def test_a_doubt_waits_while_a_value_is_out_of_range():
    assert temp_reasons(20, 20, 26, 400, 26) == [FIRST, GOOD, JUMP, Reason.OUT_OF_RANGE, GOOD]


# Light


def test_light_may_jump_as_it_likes():
    judged, _ = judge([a_sample(light_lx=light_lx) for light_lx in (120, 40_000, 0, 100)])
    assert [one.light for one in judged] == [GOOD] * 4


def test_saturated_light_is_used_as_a_lower_bound():
    judged, _ = judge([a_sample(light_lx=54_612, saturated=True)])
    assert judged[0].light is Reason.SATURATED
    assert judged[0].sample == a_sample(light_lx=54_612, saturated=True)
    assert judged[0].used
    assert not judged[0].doubted


@pytest.mark.parametrize("light_lx", [-1, 200_001, nan])
def test_light_that_is_none_is_out_of_range(light_lx):
    judged, _ = judge([a_sample(light_lx=light_lx, saturated=True)])
    assert judged[0].light is Reason.OUT_OF_RANGE
    assert judged[0].sample == a_sample()
    assert not judged[0].used


def test_a_sample_without_values_is_neither_used_nor_doubted():
    judged, _ = judge([a_sample()])
    assert judged[0].reasons == ()
    assert not judged[0].used
    assert not judged[0].doubted


# A sensor that is stuck


def frozen(minutes, temp_c=20.3, rh_pct=55.1, every_s=10.0):
    return [a_sample(temp_c, rh_pct)] * int(minutes * 60 / every_s)


def test_a_sensor_that_repeats_itself_for_an_hour_is_stuck_from_then_on():
    judged, _ = judge(frozen(minutes=70))
    stuck = [one.temp is STUCK for one in judged]
    assert stuck.index(True) == 361  # the first value confirmed the second, whose hour this is
    assert all(stuck[361:])
    assert judged[-1].reasons == (STUCK, STUCK)
    assert judged[-1].sample == a_sample()


def test_a_stuck_sensor_that_moves_is_believed_again():
    _, state = judge(frozen(minutes=70))
    judged, _ = judge([a_sample(20.4, 55.1), a_sample(20.4, 55.1)], state=state)
    assert [one.reasons for one in judged] == [(GOOD, GOOD)] * 2


@pytest.mark.parametrize("moved", [a_sample(20.4, 55.1), a_sample(20.3, 55.2)])
def test_the_smallest_movement_shows_that_a_sensor_lives(moved):
    judged, _ = judge([*frozen(minutes=50), moved, *frozen(minutes=50)])
    assert not any(one.temp is STUCK for one in judged)


def test_a_doubled_value_does_not_hide_that_a_sensor_is_stuck():
    judged, _ = judge([*frozen(minutes=50), a_sample(40.6, 55.1), *frozen(minutes=20)])
    assert judged[-1].temp is STUCK


def test_saturated_air_may_stand_still():
    judged, _ = judge(frozen(minutes=120, rh_pct=95.0))
    assert judged[-1].reasons == (GOOD, GOOD)


def test_a_pause_says_nothing_about_stillness():
    _, state = judge(frozen(minutes=50))
    state, _ = judge_sample(state, a_sample(20.3, 55.1), 301)
    judged, _ = judge(frozen(minutes=50), state=state)
    assert not any(one.temp is STUCK for one in judged)


def test_an_hour_in_which_only_the_temperature_was_read_says_nothing_about_stillness():
    _, state = judge(frozen(minutes=10))
    _, state = judge([a_sample(20.3)] * 400, state=state)
    judged, _ = judge(frozen(minutes=10), state=state)
    assert judged[-1].reasons == (GOOD, GOOD)


def test_a_probe_that_measures_temperature_alone_is_never_stuck():
    judged, _ = judge([a_sample(20.3)] * 1000)
    assert judged[-1].temp is GOOD


def test_light_goes_on_when_the_air_is_stuck():
    judged, _ = judge([a_sample(20.3, 55.1, 120)] * 400)
    assert judged[-1].sample == a_sample(light_lx=120)
    assert judged[-1].used
    assert judged[-1].doubted


# Whatever comes

anything = st.one_of(st.none(), st.floats(), st.floats(-50, 90))
any_sample = st.builds(Sample, st.just("shelf"), anything, anything, anything, st.booleans())


@given(st.lists(st.tuples(any_sample, st.floats(0, 1e7)), max_size=40))
def test_whatever_comes_only_believable_values_are_left(samples):
    state = SensorState()
    for sample, elapsed_s in samples:
        state, judged = judge_sample(state, sample, elapsed_s)
        left = judged.sample
        assert left.temp_c is None or -40 <= left.temp_c <= 80
        assert left.rh_pct is None or 0 <= left.rh_pct <= 100
        assert left.light_lx is None or 0 <= left.light_lx <= 200_000
        assert judged.used == (left != a_sample())


@given(st.lists(any_sample, max_size=10), st.floats(-40, 80), st.floats(0, 94))
def test_whatever_came_before_a_steady_sensor_is_believed_after_four_values(before, temp_c, rh_pct):
    _, state = judge(before)
    judged, _ = judge([a_sample(temp_c, rh_pct)] * 5, state=state)
    assert judged[-1].reasons == (GOOD, GOOD)
