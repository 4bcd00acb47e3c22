import math
from datetime import timedelta
from functools import cache

import pytest

from sim.backtest import Backtest, Plan, backtest
from sim.kinetics import relative_rate
from station.domain.readiness import LOG_SD
from station.domain.readings import Reading
from station.errors import JarsideError
from tests.bench.backtests import JUDGED, NEEDS_DAYS, less_by, ratio
from tests.bench.years import YEARS, a_year
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
    need_h = 2.0 * 1.2816 * LOG_SD * 132.0  # four jars in five of the log-normal need; a little for the shelf's wander
    assert need_h < found.spread.mean_width_h < need_h + 5.0


def test_in_the_cold_the_truth_follows_the_published_kinetics_and_the_calendar_is_far_too_early() -> None:
    found = tried(15.0, need_log_sd=0.0)
    true_days = 5.5 / relative_rate(15.0)  # Rosso et al. 1993 with the cardinals of S. cerevisiae: 9.5 days
    assert found.calendar.bias_h == pytest.approx(-24.0 * (true_days - 5.5), abs=0.5)
    assert found.packing.mae_h < 0.4 * found.calendar.mae_h
    assert found.near.bias_h == pytest.approx(found.packing.bias_h, abs=0.1)  # an even shelf has no news on the way


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


def test_winter_weeks_in_a_spare_room_are_dated_far_better_than_by_the_calendar() -> None:
    found = backtest(a_year("no-network-time", days=30.0), Plan(pack_every_h=49.0))
    assert found.mean_temp_c < 17.0
    assert ratio(found) <= 0.4


@cache
def year_of(name: str) -> list[Reading]:
    return a_year(name)


@cache
def year_tried(name: str, need_days: float = 5.5, learn: int = 0, pack_every_h: float = 25.0) -> Backtest:
    return backtest(year_of(name), Plan(need_days, learn=learn, pack_every_h=pack_every_h))


@pytest.mark.long
@pytest.mark.parametrize("name", YEARS)
def test_over_a_model_year_the_forecast_beats_the_calendar_where_it_is_cold_and_keeps_up_where_it_is_not(
    name: str,
) -> None:
    found = year_tried(name)
    assert found.mean_temp_c < 23.0
    assert ratio(found) <= (0.4 if found.mean_temp_c < 17.0 else 1.1)


@pytest.mark.long
@pytest.mark.parametrize("name", YEARS)
def test_over_a_model_year_four_jars_in_five_are_ready_within_their_range(name: str) -> None:
    assert 0.75 <= year_tried(name).spread.coverage <= 0.88


@pytest.mark.long
@pytest.mark.parametrize("need_days", NEEDS_DAYS)
@pytest.mark.parametrize("name", YEARS)
def test_over_a_model_year_judged_jars_take_a_quarter_off_the_error_near_the_end(name: str, need_days: float) -> None:
    before, after = (year_tried(name, need_days, learn, pack_every_h=97.0) for learn in (0, JUDGED))
    assert less_by(before, after) >= 0.25
