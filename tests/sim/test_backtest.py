import math
from datetime import timedelta

import pytest

from sim.backtest import Backtest, Plan, backtest
from sim.kinetics import relative_rate
from station.domain.readings import Reading
from station.errors import JarsideError
from tests.builders import a_reading


def a_log(days: float = 40.0, temp_c: float = 20.0, swing_c: float = 0.0, swing_days: float = 1.0) -> list[Reading]:
    """A shelf that swings about a temperature, hour by hour."""
    turn = 2.0 * math.pi / (24.0 * swing_days)
    return [
        a_reading(60.0 * hour, temp_c + swing_c * math.sin(turn * hour), span_s=3600.0)
        for hour in range(round(24 * days))
    ]


def tried(temp_c: float = 20.0, **changes: float) -> Backtest:
    plan = Plan(pack_every_h=49.0, **changes)  # type: ignore[arg-type]
    return backtest(a_log(40.0, temp_c), plan)


def test_at_20_degrees_the_calendar_is_right_and_so_is_the_forecast() -> None:
    found = tried(20.0, need_log_sd=0.0)
    assert found.mean_temp_c == pytest.approx(20.0)
    assert found.calendar.mae_h < 0.1
    assert found.packing.mae_h < 1.5
    assert found.spread.coverage == 1.0
    assert 40.0 < found.spread.mean_width_h < 60.0


def test_in_the_cold_the_truth_follows_the_published_kinetics_and_the_calendar_is_far_too_early() -> None:
    found = tried(15.0, need_log_sd=0.0)
    true_days = 5.5 / relative_rate(15.0)  # Rosso et al. 1993 with the cardinals of S. cerevisiae: 9.5 days
    assert found.calendar.bias_h == pytest.approx(-24.0 * (true_days - 5.5), abs=0.5)
    assert found.packing.mae_h < 0.4 * found.calendar.mae_h
    assert abs(found.near.bias_h) < abs(found.packing.bias_h)


def test_errors_shrink_as_the_jar_lives_through_what_the_weather_brings() -> None:
    found = backtest(a_log(60.0, 17.0, 3.0, swing_days=11.0), Plan(pack_every_h=49.0, need_log_sd=0.0))
    assert found.near.mae_h < found.half.mae_h < found.packing.mae_h


def test_a_warmer_shelf_is_tried_without_another_log() -> None:
    shifted = backtest(a_log(40.0, 15.0), Plan(shift_temp_c=5.0, pack_every_h=49.0))
    assert shifted == backtest(a_log(40.0, 20.0), Plan(pack_every_h=49.0))


def test_the_same_seed_gives_the_same_jars() -> None:
    assert tried(seed=3) == tried(seed=3)
    assert tried(seed=3) != tried(seed=4)


@pytest.mark.parametrize("need_days", [4.4, 6.6])
def test_judged_jars_halve_the_error_of_a_plant_that_is_a_fifth_off(need_days: float) -> None:
    before, after = (tried(need_days=need_days, learn=learn) for learn in (0, 8))
    assert after.near.mae_h < 0.75 * before.near.mae_h


def test_slow_jars_at_the_end_are_not_left_out_in_favour_of_quick_ones() -> None:
    short = backtest(a_log(12.0), Plan(pack_every_h=12.0, need_log_sd=0.3))
    assert short.jars < (12.0 - 3.0 - 5.5) * 2.0 + 1.0


def test_progress_is_told_jar_by_jar() -> None:
    told: list[tuple[int, int]] = []
    found = backtest(a_log(20.0), Plan(pack_every_h=49.0), lambda done, most: told.append((done, most)))
    assert [done for done, _ in told] == list(range(1, found.jars + 1))
    assert {most for _, most in told} == {9}


def test_readings_that_are_missing_are_no_temperature() -> None:
    log = [one if index % 5 else a_reading(60.0 * index, None, span_s=3600.0) for index, one in enumerate(a_log())]
    found = backtest(log, Plan(pack_every_h=49.0, need_log_sd=0.0))
    assert found.packing.mae_h < 2.0


@pytest.mark.parametrize("log", [[], a_log(2.0), a_log(30.0, 3.0)])
def test_a_log_in_which_nothing_gets_ready_is_refused_in_words(log: list[Reading]) -> None:
    with pytest.raises(JarsideError, match="no jar becomes ready within this log") as caught:
        backtest(log, Plan())
    assert caught.value.remedy == "Give a longer or a warmer log."


def test_a_date_beyond_the_horizon_counts_as_the_horizon() -> None:
    found = backtest(a_log(70.0, 9.5), Plan(pack_every_h=490.0, need_log_sd=0.0))
    assert found.packing.mae_h < 24.0 * 30.0
    assert found.spread.mean_width_h <= 24.0 * 30.0


def test_jars_are_strained_and_judged_even_where_the_log_ends_too_soon() -> None:
    found = backtest(a_log(11.0), Plan(pack_every_h=20.0, learn=20, need_log_sd=0.0))
    assert found.jars >= 1
    assert found.packing.mae_h < timedelta(days=2) / timedelta(hours=1)
