import itertools
import math
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.forecast import Caveat, ReadyRange, prospect_of, ready_range
from station.domain.paths import HourMean, ShelfPaths, shelf_paths
from station.domain.readiness import BASE_SD_C, LOG_SD, chance_past, chance_ready, default_belief
from station.domain.warmth import BASE_C, JarHeat, Warmth, approach, fresh
from tests.builders import START

BELIEF = default_belief()


def a_shelf(temp_c: float = 20.0, log_days: float = 14.0) -> ShelfPaths:
    count = round(24 * log_days)
    hours = [HourMean(START - timedelta(hours=hour), temp_c) for hour in range(count, 0, -1)]
    return shelf_paths(hours, START, temp_c)


def a_jar(days: float, temp_c: float = 20.0, missing_h: float = 0.0) -> JarHeat:
    """A jar that has stood for so many days until START."""
    warmth = Warmth().after(approach(temp_c, temp_c, days * 86400.0 - missing_h * 3600.0, 0.0))
    return JarHeat(Warmth(warmth.excess_ch, warmth.observed_h, 0.0, missing_h), START, temp_c)


def days_until(ready: ReadyRange) -> list[float]:
    found = []
    for at in (ready.early_at, ready.likely_at, ready.late_at):
        assert at is not None
        found.append((at - START) / timedelta(days=1))
    return found


def test_at_20_degrees_a_jar_is_likely_ready_after_five_and_a_half_days() -> None:
    early, likely, late = days_until(ready_range(BELIEF, fresh(START), a_shelf(20.0)))
    assert likely == pytest.approx(5.5, abs=0.03)
    assert 4.2 < early < 5.0
    assert 6.0 < late < 7.0


def test_at_15_degrees_after_8_9_days_with_a_clearly_wider_range() -> None:
    # 5.5 days at 20 °C are 5.5 · 13/8 = 8.94 days at 15 °C with a base of 7 °C.
    early, likely, late = days_until(ready_range(BELIEF, fresh(START), a_shelf(15.0)))
    warm = days_until(ready_range(BELIEF, fresh(START), a_shelf(20.0)))
    assert likely == pytest.approx(8.94, abs=0.15)
    assert late - early > 1.4 * (warm[2] - warm[0])
    by_base = BASE_SD_C * (1.0 / (15.0 - BASE_C) - 1.0 / (20.0 - BASE_C))  # one more °C of base, as a share of the days
    assert (late - early) / likely > math.hypot(LOG_SD, by_base) / LOG_SD * (warm[2] - warm[0]) / warm[1]


def test_a_shelf_that_never_gets_there_is_a_value() -> None:
    ready = ready_range(BELIEF, fresh(START), a_shelf(5.0))
    assert (ready.early_at, ready.likely_at, ready.late_at) == (None, None, None)
    assert ready.known
    assert Caveat.BEYOND_HORIZON in ready.caveats


def test_no_readings_since_packing_is_said_and_no_date_is_made_up() -> None:
    ready = ready_range(BELIEF, fresh(START - timedelta(hours=5)), a_shelf())
    assert ready == ReadyRange(START, None, None, None, (Caveat.NO_READINGS,))
    assert not ready.known
    assert str(ready.caveats[0]) == "no readings since packing: warmth unknown"


def test_a_jar_packed_a_moment_ago_needs_no_reading_yet() -> None:
    assert ready_range(BELIEF, fresh(START - timedelta(minutes=30)), a_shelf()).known


def test_no_shelf_temperature_at_all_is_said() -> None:
    ready = ready_range(BELIEF, fresh(START), shelf_paths([], START, None))
    assert ready.caveats == (Caveat.NO_SHELF,)
    assert not ready.known


@pytest.mark.parametrize(
    ("temp_c", "log_days", "expected"),
    [
        (20.0, 14.0, ()),
        (20.0, 0.0, (Caveat.NO_LOG,)),
        (20.0, 0.5, (Caveat.SHORT_LOG,)),
        (15.0, 14.0, (Caveat.COLD_SHELF,)),
    ],
)
def test_what_limits_the_trust_is_said(temp_c: float, log_days: float, expected: tuple[Caveat, ...]) -> None:
    assert ready_range(BELIEF, fresh(START), a_shelf(temp_c, log_days)).caveats == expected


def test_a_short_log_is_less_sure() -> None:
    widths = []
    for log_days in (0.0, 0.5, 14.0):
        early, _, late = days_until(ready_range(BELIEF, fresh(START), a_shelf(20.0, log_days)))
        widths.append(late - early)
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 1.1 * widths[2]


def test_missing_readings_widen_the_range_and_are_said() -> None:
    whole, gappy = (ready_range(BELIEF, a_jar(4.0, missing_h=missing_h), a_shelf()) for missing_h in (0.0, 48.0))
    assert Caveat.MISSING_READINGS in gappy.caveats
    early, _, late = days_until(whole)
    gap_early, _, gap_late = days_until(gappy)
    assert gap_late - gap_early > late - early


def test_hours_of_silence_until_now_are_missing_readings_too() -> None:
    silent = JarHeat(a_jar(3.0).warmth, START - timedelta(hours=30), 20.0)
    ready = ready_range(BELIEF, silent, a_shelf())
    assert ready.caveats == (Caveat.MISSING_READINGS,)
    assert days_until(ready)[1] == pytest.approx(5.5 - 3.0 - 30.0 / 24.0, abs=0.1)


def test_a_chance_that_was_reached_is_dated_back() -> None:
    ready = days_until(ready_range(BELIEF, a_jar(7.0), a_shelf()))
    assert ready[1] == pytest.approx(-1.5, abs=0.03)  # at 20 °C it was likely ready a day and a half ago
    assert ready == sorted(ready)


def test_dates_hold_still_while_the_shelf_does() -> None:
    first = days_until(ready_range(BELIEF, a_jar(1.0), a_shelf()))[1]
    later = days_until(ready_range(BELIEF, a_jar(3.0), a_shelf()))[1]
    assert first - later == pytest.approx(2.0, abs=0.05)


def test_a_jar_packed_warm_is_ahead_of_a_cool_one() -> None:
    warm, cool = (JarHeat(Warmth(), START, temp_c) for temp_c in (30.0, 10.0))
    assert days_until(ready_range(BELIEF, warm, a_shelf()))[1] < days_until(ready_range(BELIEF, cool, a_shelf()))[1]


def test_the_chances_now_are_those_of_the_warmth_it_had() -> None:
    jar = a_jar(6.0)
    prospect = prospect_of(BELIEF, jar, a_shelf())
    assert prospect is not None
    now = prospect.chances(START)
    assert now.ready == pytest.approx(chance_ready(BELIEF, jar.warmth), abs=0.001)
    assert now.past == pytest.approx(chance_past(BELIEF, jar.warmth), abs=0.001)
    assert now.good == now.ready - now.past


def test_beyond_the_horizon_the_chances_are_those_at_its_end() -> None:
    prospect = prospect_of(BELIEF, fresh(START), a_shelf(12.0))
    assert prospect is not None
    end, beyond = (prospect.chances(START + timedelta(days=days)) for days in (30, 90))
    assert (end.ready, end.past) == (beyond.ready, beyond.past)


@given(st.floats(-5.0, 40.0), st.floats(-5.0, 40.0), st.floats(0.01, 20.0), st.floats(0.0, 100.0))
def test_early_comes_before_likely_and_likely_before_late(
    shelf_c: float, jar_c: float, days: float, gap_h: float
) -> None:
    jar = a_jar(days, jar_c)
    jar = JarHeat(jar.warmth.bridged(jar_c, gap_h * 3600.0), START, jar_c)
    ready = ready_range(BELIEF, jar, a_shelf(shelf_c, 2.0))
    ats = [at for at in (ready.early_at, ready.likely_at, ready.late_at) if at is not None]
    assert ats == sorted(ats)
    unknown = [at is None for at in (ready.early_at, ready.likely_at, ready.late_at)]
    assert unknown == sorted(unknown)


def test_chances_grow_from_evening_to_evening() -> None:
    prospect = prospect_of(BELIEF, a_jar(3.0), a_shelf(17.0))
    assert prospect is not None
    found = [prospect.chances(START + timedelta(hours=12 * step)) for step in range(30)]
    assert all(later.ready >= earlier.ready for earlier, later in itertools.pairwise(found))
    assert all(later.past >= earlier.past for earlier, later in itertools.pairwise(found))
