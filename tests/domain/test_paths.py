import itertools
import math
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.paths import COURSES, HORIZON_DAYS, HourMean, ShelfPaths, shelf_paths
from station.domain.warmth import BASES_C, excess_c
from station.errors import JarsideError
from tests.builders import START

BASE_7 = BASES_C.index(7.0)


def hours(temps_c: list[float], now_at: datetime = START) -> list[HourMean]:
    """Hourly means that end now."""
    first_at = now_at - timedelta(hours=len(temps_c))
    return [HourMean(first_at + timedelta(hours=hour), temp_c) for hour, temp_c in enumerate(temps_c)]


def a_steady_shelf(temp_c: float = 20.0, days: int = 14) -> ShelfPaths:
    return shelf_paths(hours([temp_c] * 24 * days), START, temp_c)


def mean_ch(paths: ShelfPaths, day: int, base: int = BASE_7) -> float:
    return math.fsum(course[day] for course in paths.excess_ch[base]) / COURSES


def spread_ch(paths: ShelfPaths, day: int) -> float:
    ends = [course[day] for course in paths.excess_ch[BASE_7]]
    return max(ends) - min(ends)


def test_a_steady_shelf_goes_on_as_it_was() -> None:
    paths = a_steady_shelf(20.0)
    assert paths.level_c == pytest.approx(20.0)
    assert mean_ch(paths, 5) == pytest.approx(5 * 24 * 13.0, rel=0.001)


def test_the_spread_grows_further_out() -> None:
    paths = a_steady_shelf()
    widths = [spread_ch(paths, day) for day in (1, 3, 6, 12)]
    assert widths == sorted(widths)
    assert widths[0] > 0.0


def test_a_restless_shelf_spreads_more_than_a_steady_one() -> None:
    restless = [20.0 + 3.0 * (-1) ** (hour // 48) for hour in range(24 * 14)]
    assert spread_ch(shelf_paths(hours(restless), START, 20.0), 5) > 2.0 * spread_ch(a_steady_shelf(), 5)


def test_the_same_log_gives_the_same_paths() -> None:
    assert a_steady_shelf() == a_steady_shelf()


def test_without_any_temperature_nothing_is_drawn() -> None:
    paths = shelf_paths([], START, None)
    assert paths.level_c is None
    assert paths.excess_ch == ()


def test_without_a_log_the_present_temperature_stands_but_less_surely() -> None:
    paths = shelf_paths([], START, 18.0)
    assert paths.level_c == 18.0
    assert paths.history_days == 0.0
    assert mean_ch(paths, 5) == pytest.approx(5 * 24 * 11.0, rel=0.01)
    assert spread_ch(paths, 2) > 1.5 * spread_ch(a_steady_shelf(18.0), 2)


def test_what_is_older_than_a_fortnight_is_not_looked_at() -> None:
    old = hours([30.0] * 24 * 30, START - timedelta(days=14))
    assert shelf_paths(old + hours([20.0] * 24 * 14), START, 20.0) == a_steady_shelf()


def test_what_lies_in_the_future_is_not_looked_at() -> None:
    coming = [HourMean(START + timedelta(hours=1), 35.0)]
    assert shelf_paths(hours([20.0] * 24 * 14) + coming, START, 20.0) == a_steady_shelf()


def test_a_shelf_that_has_cooled_stays_cool_and_drifts_back_slowly() -> None:
    paths = shelf_paths(hours([20.0] * 24 * 13 + [16.0] * 24), START, 16.0)
    first = mean_ch(paths, 1) / 24.0 + 7.0
    tenth = (mean_ch(paths, 10) - mean_ch(paths, 9)) / 24.0 + 7.0
    assert first == pytest.approx(16.0, abs=0.4)
    assert 17.0 < tenth < 20.0


def test_the_hours_of_the_day_keep_their_shape() -> None:
    warm_noon = [20.0 + 4.0 * math.sin(2.0 * math.pi * (hour % 24) / 24.0) for hour in range(24 * 14)]
    paths = shelf_paths(hours(warm_noon), START, None)  # begins where the warm half of the day begins
    assert paths.level_c == pytest.approx(20.0, abs=0.3)
    half_day_ch = paths.waves_ch(0.5)[BASE_7]
    assert half_day_ch == pytest.approx(4.0 * 24.0 / math.pi, rel=0.05)  # half a sine's integral
    assert paths.waves_ch(1.0)[BASE_7] == pytest.approx(0.0, abs=1e-9)


def test_a_cold_shelf_counts_only_the_hours_above_the_base() -> None:
    cold_night = [7.0 + (3.0 if 6 <= hour % 24 < 18 else -3.0) for hour in range(24 * 14)]
    paths = shelf_paths(hours(cold_night), START, None)
    assert mean_ch(paths, 1) > 24.0  # half a day 3 K above base 7 is 36 °C·h; the mean alone would give none
    assert paths.awake[BASE_7] == pytest.approx(0.5, abs=0.13)


def test_a_hot_shelf_is_capped() -> None:
    paths = a_steady_shelf(45.0)
    assert mean_ch(paths, 2) == pytest.approx(2 * 24 * 23.0)


def test_a_present_temperature_after_a_silent_day_is_the_level() -> None:
    silent = hours([20.0] * 24 * 10, START - timedelta(days=1))
    assert shelf_paths(silent, START, 15.0).level_c == pytest.approx(15.0)
    assert shelf_paths(silent, START, None).level_c == pytest.approx(20.0)


def test_a_naive_time_is_refused() -> None:
    with pytest.raises(JarsideError, match="naive"):
        shelf_paths([], datetime(2026, 5, 4), 20.0)  # noqa: DTZ001


@given(st.lists(st.floats(-10.0, 45.0), min_size=1, max_size=72), st.floats(-10.0, 45.0))
def test_warmth_only_ever_grows_and_a_lower_base_gives_more(temps_c: list[float], present_c: float) -> None:
    paths = shelf_paths(hours(temps_c), START, present_c)
    for base, courses in enumerate(paths.excess_ch):
        for course in courses:
            assert len(course) == HORIZON_DAYS + 1
            assert course[0] == pytest.approx(0.0)
            assert all(later >= earlier - 1e-6 for earlier, later in itertools.pairwise(course))
            assert course[-1] <= HORIZON_DAYS * 24 * excess_c(30.0, BASES_C[base]) + 1e-6
    for lower, higher in zip(paths.excess_ch, paths.excess_ch[1:], strict=False):
        assert all(one[-1] >= two[-1] - 1e-6 for one, two in zip(lower, higher, strict=True))
