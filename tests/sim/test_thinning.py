"""A log in longer steps says the same, as far as its steps go."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.replay import replay
from sim.thinning import thinned
from station.config import Settings
from station.domain.alert import AlertKind
from station.domain.conditions import Kind
from station.domain.readings import Mark
from tests.builders import a_reading
from tests.dashboard.world import a_day_of, a_jar


def test_minutes_become_five_minutes() -> None:
    minutes = [a_reading(minute, 20.0 + minute, light_lx=None) for minute in range(1, 11)]

    first, second = thinned(minutes, 300.0)

    assert (first.temp_c, second.temp_c) == (23.0, 28.0)  # by hand: the means of 21 to 25 and of 26 to 30
    assert (first.measured_at, first.span_s, first.good) == (minutes[4].measured_at, 300.0, 60)
    assert first.light_lx is None


def test_a_gap_is_kept() -> None:
    minutes = [a_reading(minute) for minute in (1, 2, 60, 61)]

    assert [(one.measured_at, one.span_s) for one in thinned(minutes, 300.0)] == [
        (minutes[1].measured_at, 120.0),
        (minutes[3].measured_at, 120.0),
    ]


def test_another_boot_begins_another_step() -> None:
    assert len(list(thinned([a_reading(1), a_reading(2, boot_id="other")], 300.0))) == 2


def test_a_coarse_log_stays_as_it_is() -> None:
    hours = [a_reading(60 * hour, span_s=3600.0) for hour in range(1, 5)]

    assert list(thinned(hours, 300.0)) == hours


def test_a_temperature_taken_in_the_sun_stays_out_of_the_mean() -> None:
    lit = a_reading(2, 40.0, marks=Mark.SUNLIT)

    (mixed,) = thinned([a_reading(1, 20.0), lit], 300.0)
    (sunlit,) = thinned([lit, replace(lit, measured_at=a_reading(3).measured_at)], 300.0)

    assert mixed.air_temp_c == 20.0
    assert sunlit.air_temp_c is None


@given(st.lists(st.integers(1, 3), min_size=1, max_size=60), st.floats(60.0, 2000.0))
def test_no_time_is_lost_and_no_warmth(gaps: list[int], step_s: float) -> None:
    minute, minutes = 0, []
    for gap in gaps:
        minute += gap
        minutes.append(a_reading(minute, 10.0 + minute % 7))

    steps = list(thinned(minutes, step_s))

    assert sum(one.span_s for one in steps) == pytest.approx(60.0 * len(minutes))
    assert sum((one.temp_c or 0.0) * one.span_s for one in steps) == pytest.approx(
        sum((one.temp_c or 0.0) * one.span_s for one in minutes)
    )
    assert all(one.span_s <= max(step_s, 60.0) for one in steps)


def test_a_replay_in_five_minutes_raises_the_same_alerts_and_counts_the_same_warmth() -> None:
    days = [*a_day_of(days=2.0, every_min=1), *a_day_of(temp_c=13.0, days=0.5, from_day=2.0, every_min=1)]
    days += list(a_day_of(days=1.0, from_day=2.5, every_min=1))
    jar = a_jar()

    plain, quick = (replay(log, Settings(), (jar,)) for log in (days, thinned(days, 300.0)))

    def told(kind: AlertKind) -> list[float]:
        return [alert.raised_at.timestamp() for alert in quick.alerts + plain.alerts if alert.kind is kind]

    assert [alert.kind for alert in quick.alerts] == [alert.kind for alert in plain.alerts]
    assert max(told(AlertKind.COLD)) - min(told(AlertKind.COLD)) <= 300.0
    heats = [outcome.jars[0][1] for outcome in (plain, quick)]
    warm = [heat.heat.warmth.warm_days() for heat in heats if heat is not None]
    assert warm[0] == pytest.approx(warm[1], rel=0.002)


def test_two_minutes_of_sun_are_not_made_five() -> None:
    """Design, section 7: five minutes at 7,000 lx raise sun; the mean of 2 × 20,000 lx and 3 × 300 is 8,180."""
    minutes = [a_reading(minute, light_lx=20_000.0 if minute % 5 in (0, 1) else 300.0) for minute in range(1, 61)]
    outcomes = [replay(log, Settings()) for log in (minutes, thinned(minutes, 300.0))]

    assert [one.kind for outcome in outcomes for one in outcome.alerts if one.kind is AlertKind.SUN] == []


def test_sun_between_clouds_holds_as_long_in_steps_as_minute_by_minute() -> None:
    """Passing clouds are of uneven length, so that steps of five minutes cannot fall in with them."""
    spells = [(7, 9), (12, 16), (31, 4), (6, 21), (4, 3), (18, 17), (5, 40)]
    light = [lx for sun, cloud in spells for lx in (*[20_000.0] * sun, *[900.0] * cloud)]
    minutes = [a_reading(minute, light_lx=lx) for minute, lx in enumerate(light, 1)]
    exact, quick = (replay(log, Settings()) for log in (minutes, thinned(minutes, 300.0)))

    told = [
        [(one.raised_at, one.cleared_at) for one in of.alerts if one.kind is AlertKind.SUN] for of in (exact, quick)
    ]
    assert len(told[0]) > 1
    assert told[0] == told[1]
    assert exact.condition_h[Kind.SUN] == pytest.approx(quick.condition_h[Kind.SUN], abs=0.1)


def test_a_minute_of_nothing_measured_is_not_hidden_among_good_ones() -> None:
    minutes = [a_reading(1), a_reading(2), a_reading(3, None, rh_pct=None, light_lx=None), a_reading(4)]

    assert [one.measured for one in thinned(minutes, 300.0)] == [True, False, True]
