"""Conditions: no raise without a held cause, no clearing without held relief, and an honest unknown."""

import itertools
from collections.abc import Iterable
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.conditions import Bound, Kind, Limit, SlidingMean, State, step
from station.domain.guidance import Limits, all_limits, limit_for
from tests.builders import START

COLD = limit_for(Kind.COLD, Limits())
SUN = limit_for(Kind.SUN, Limits())


def run(limit: Limit, kind: Kind, values: Iterable[float | None], span_s: float = 60.0) -> list[State]:
    states = [State(kind)]
    for number, value in enumerate(values, 1):
        states.append(step(limit, states[-1], value, span_s, START + timedelta(seconds=number * span_s)))
    return states


def raises(states: list[State]) -> int:
    return sum(new.raised and not old.raised for old, new in itertools.pairwise(states))


def test_cold_is_raised_after_half_an_hour_below_the_limit_and_not_before() -> None:
    states = run(COLD, Kind.COLD, [15.5] * 40)
    assert [state.raised for state in states].index(True) == 30


def test_since_is_when_the_cause_began_and_peak_the_worst_of_it() -> None:
    states = run(COLD, Kind.COLD, [18.0, *[15.0] * 20, 12.5, *[15.0] * 20])
    assert states[-1].since_at == START + timedelta(minutes=2)
    assert states[-1].peak == 12.5


def test_between_the_bounds_a_raised_condition_stays() -> None:
    assert run(COLD, Kind.COLD, [15.0] * 30 + [15.9] * 500)[-1].raised


def test_it_clears_after_half_an_hour_of_relief() -> None:
    states = run(COLD, Kind.COLD, [15.0] * 30 + [16.2] * 40)
    assert [state.raised for state in states].index(False, 31) == 60
    assert states[-1].peak is None


def test_the_unknown_neither_raises_nor_clears_nor_counts() -> None:
    pending = run(COLD, Kind.COLD, [15.0] * 29 + [None] * 100)[-1]
    assert not pending.raised
    assert step(COLD, pending, 15.0, 60.0, START).raised
    relieved = run(COLD, Kind.COLD, [15.0] * 30 + [17.0] * 29 + [None] * 100)[-1]
    assert relieved.raised


def test_sun_is_raised_at_the_limit_itself() -> None:
    assert run(SUN, Kind.SUN, [7000.0] * 5)[-1].raised
    assert not run(SUN, Kind.SUN, [6999.0] * 50)[-1].raised


def test_noise_on_the_limit_raises_at_most_once_in_a_day() -> None:
    import random

    chance = random.Random(5)
    noisy = [15.6 + chance.uniform(-0.3, 0.3) for _ in range(1440)]
    assert raises(run(COLD, Kind.COLD, noisy)) <= 1


@pytest.mark.parametrize("kind", list(Kind))
def test_every_condition_has_a_dead_band_on_the_right_side(kind: Kind) -> None:
    limit = limit_for(kind, Limits())
    assert limit.raises(limit.raise_at + (-1e-6 if limit.bound is Bound.BELOW else 1e-6))
    assert not limit.clears(limit.raise_at)
    assert limit.clears(limit.clear_at + (0.0 if limit.bound is Bound.BELOW else -1e-9))


def test_the_limits_are_those_of_the_guidance() -> None:
    held = {
        kind: (limit.raise_at, limit.raise_held_s / 60, limit.clear_at, limit.clear_held_s / 60)
        for kind, limit in all_limits(Limits())
    }
    assert held[Kind.COLD] == (15.6, 30, 16.1, 30)
    assert held[Kind.HOT] == (26.7, 30, 26.2, 30)
    assert held[Kind.SUN] == (7000, 5, 5000, 15)
    assert held[Kind.BRIGHT] == (1000, 0, 800, 0)
    assert held[Kind.DAMP] == (-5, 180, -8, 60)
    assert held[Kind.SILENT][1] == 10
    assert held[Kind.SILENT][3] == 3


@given(
    st.sampled_from(list(Kind)),
    st.lists(st.one_of(st.none(), st.floats(-50, 60_000)), max_size=300),
    st.floats(10, 900),
)
def test_nothing_is_raised_without_a_cause_held_long_enough(
    kind: Kind, values: list[float | None], span_s: float
) -> None:
    limit = limit_for(kind, Limits())
    states = run(limit, kind, values, span_s)
    held_s = 0.0
    for value, old, new in zip(values, states, states[1:], strict=False):
        if value is not None:
            held_s = held_s + span_s if limit.raises(value) else 0.0
        if new.raised and not old.raised:
            assert held_s >= limit.raise_held_s
        if old.raised and not new.raised:
            assert value is not None
            assert limit.clears(value)


def test_a_sliding_mean_waits_for_half_its_window() -> None:
    mean = SlidingMean(7200.0)
    for minute in range(1, 60):
        mean = mean.with_value(500.0, 60.0, minute * 60.0, "boot")
    assert mean.mean is None
    mean = mean.with_value(500.0, 60.0, 3600.0, "boot")
    assert mean.mean == pytest.approx(500.0)


def test_a_sliding_mean_forgets_what_is_older_than_its_window() -> None:
    mean = SlidingMean(7200.0)
    for minute in range(1, 121):
        mean = mean.with_value(2000.0, 60.0, minute * 60.0, "boot")
    for minute in range(121, 245):
        mean = mean.with_value(100.0, 60.0, minute * 60.0, "boot")
    assert mean.mean == pytest.approx(100.0)
    assert len(mean.slots) <= 12


@pytest.mark.parametrize("boot_s", [60.0, 3000.0, 4200.0, 90_000.0])
def test_a_sliding_mean_knows_nothing_of_the_boot_before_however_late_it_is_in_this_one(boot_s: float) -> None:
    mean = SlidingMean(7200.0)
    for minute in range(1, 70):
        mean = mean.with_value(9000.0, 60.0, minute * 60.0, "yesterday")
    mean = mean.with_value(100.0, 60.0, boot_s, "today")
    assert mean == SlidingMean(7200.0).with_value(100.0, 60.0, boot_s, "today")
    assert mean.mean is None


def test_a_sliding_mean_begins_again_when_boot_time_runs_backwards() -> None:
    mean = SlidingMean(7200.0).with_value(900.0, 60.0, 90_000.0, "boot").with_value(100.0, 60.0, 60.0, "boot")
    assert len(mean.slots) == 1
