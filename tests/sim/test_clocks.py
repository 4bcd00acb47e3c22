from datetime import UTC, datetime, timedelta

import pytest

from sim.clocks import ClockFaults, Jump, ManualClock, PacedClock
from station.errors import JarsideError
from tests.sim.models import START

YEAR_1970 = datetime(1970, 1, 1, tzinfo=UTC)


def ahead(clock: ManualClock) -> float:
    """How far the wall clock is ahead of the true time, seconds."""
    return (clock.now() - clock.true_at()).total_seconds()


def test_a_manual_clock_stands_until_someone_sleeps() -> None:
    clock = ManualClock(START)
    assert (clock.now(), clock.boottime_s()) == (START, 0.0)
    clock.sleep(90.0)
    assert (clock.now(), clock.boottime_s()) == (START + timedelta(seconds=90), 90.0)
    assert clock.synced()


def test_a_clock_refuses_to_go_back_and_a_naive_start() -> None:
    with pytest.raises(JarsideError, match="go back"):
        ManualClock(START).advance(-1.0)
    with pytest.raises(JarsideError, match="naive"):
        ManualClock(datetime(2026, 5, 4))  # noqa: DTZ001


def test_a_clock_may_start_in_1970_and_come_right() -> None:
    clock = ManualClock(START, ClockFaults(begins_at=YEAR_1970, syncs=600.0))
    clock.advance(599.0)
    assert clock.now() == YEAR_1970 + timedelta(seconds=599)
    assert not clock.synced()
    clock.advance(1.0)
    assert clock.now() == clock.true_at()
    assert clock.synced()


def test_a_clock_may_never_come_right() -> None:
    past = START - timedelta(days=40)
    clock = ManualClock(START, ClockFaults(begins_at=past, syncs="never"))
    clock.advance(1e6)
    assert not clock.synced()
    assert clock.now() == past + timedelta(seconds=1e6)


def test_a_clock_jumps_both_ways_while_boot_time_does_not() -> None:
    clock = ManualClock(START, ClockFaults(jumps=(Jump(100.0, 3600.0), Jump(200.0, -7200.0))))
    seen = []
    for _ in range(5):
        seen.append((clock.boottime_s(), ahead(clock)))
        clock.advance(60.0)
    assert seen == [(0.0, 0.0), (60.0, 0.0), (120.0, 3600.0), (180.0, 3600.0), (240.0, -3600.0)]


def test_a_sync_forgets_the_jumps_before_it_but_not_those_after() -> None:
    faults = ClockFaults(begins_at=YEAR_1970, syncs=100.0, jumps=(Jump(50.0, 10.0), Jump(150.0, -5.0)))
    clock = ManualClock(START, faults)
    clock.advance(60.0)
    assert clock.now() == YEAR_1970 + timedelta(seconds=70)
    clock.advance(60.0)
    assert ahead(clock) == 0.0
    clock.advance(60.0)
    assert ahead(clock) == -5.0


def test_a_reboot_begins_boot_time_and_the_faults_anew_but_not_the_world() -> None:
    clock = ManualClock(START, ClockFaults(begins_at=YEAR_1970, syncs=600.0))
    clock.advance(1000.0)
    first = clock.boot_id
    clock.reboot(off_s=500.0)
    assert clock.boot_id != first
    assert clock.boottime_s() == 0.0
    assert clock.elapsed_s() == 1500.0
    assert clock.now() == YEAR_1970
    assert not clock.synced()


def test_a_paced_clock_runs_at_its_multiple_of_the_real_one() -> None:
    real = ManualClock(START)
    clock = PacedClock(START, real, speed=60.0)
    real.advance(2.0)
    assert clock.boottime_s() == 120.0
    clock.sleep(30.0)
    assert real.boottime_s() == 2.5
    assert clock.now() == START + timedelta(seconds=150)


def test_a_paced_clock_may_hurry_through_the_first_stretch() -> None:
    real = ManualClock(START)
    clock = PacedClock(START, real, speed=10.0, fast_until_s=100.0)
    real.advance(5.0)
    clock.sleep(60.0)
    clock.sleep(60.0)
    assert (clock.elapsed_s(), real.elapsed_s()) == (120.0, 5.0)
    clock.sleep(60.0)
    assert (clock.elapsed_s(), real.elapsed_s()) == (180.0, 11.0)


def test_a_paced_clock_can_be_pushed_ahead_of_its_pace() -> None:
    real = ManualClock(START)
    clock = PacedClock(START, real, speed=10.0)
    clock.advance(3600.0)
    real.advance(1.0)
    assert clock.elapsed_s() == 3610.0


@pytest.mark.parametrize("speed", [0.0, -1.0, float("nan")])
def test_a_paced_clock_refuses_a_speed_that_leads_nowhere(speed: float) -> None:
    with pytest.raises(JarsideError, match="times real time"):
        PacedClock(START, ManualClock(START), speed)
