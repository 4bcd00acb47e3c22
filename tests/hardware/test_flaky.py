"""A station on a bad sensor: the simulator's faults through the real driver code, and drivers that never come back."""

import random
from array import array
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from hardware.apart import Apart
from hardware.bh1750 import Bh1750
from hardware.dht import Dht
from sim.clocks import ManualClock
from sim.faults import FLAKY
from station.domain.readings import Mark
from tests.builders import START
from tests.daemon.world import Stand, a_stand
from tests.hardware.buses import Bh1750Chip, Bus
from tests.hardware.frames import Wire, a_climate, a_frame, summed
from tests.hardware.test_apart import READY, held, settled

Train = Callable[[float], "array[int]"]


def a_station_on_a_wire(folder: Path, wire: Wire, train: Train, **settings: object) -> Stand:
    """A station whose only sensor is the real DHT driver; `train` says what comes down the wire at a boot second."""
    clock = ManualClock(START)
    dht = Dht("shelf", 17, monotonic_s=clock.boottime_s)
    dht.open()
    wire.read = lambda: train(clock.boottime_s())
    return a_stand(folder, lambda _: dht.sample(), clock=clock, **settings)


def air(boot_s: float, dice: random.Random) -> tuple[float, float]:
    """The true air and a sensor's noise: RH and °C."""
    return 55 + 3 * dice.random(), 20 + boot_s / 86_400 + 0.2 * dice.random()


def flaky(seed: int = 4) -> Train:
    """Three reads in ten fail their check sum, and one in 750 passes with its temperature doubled or halved."""
    dice = random.Random(seed)

    def train(boot_s: float) -> "array[int]":
        rh_pct, temp_c = air(boot_s, dice)
        if dice.random() < FLAKY.missed:
            return a_frame(*summed(0x02, 0x8C, 0x01, 0x5F)[:4], 0x00)
        if dice.random() < FLAKY.twisted:
            temp_c *= dice.choice((0.5, 2.0))
        return a_climate(rh_pct, temp_c)

    return train


def test_a_day_of_bad_check_sums_and_doubled_values_gives_good_minutes_and_no_alert(tmp_path: Path, wire: Wire):
    stand = a_station_on_a_wire(tmp_path, wire, flaky())
    stand.live(24 * 60)
    readings = [judged.minute.reading for judged in stand.judged]
    assert len(readings) == 24 * 60
    assert sum(reading.missed for reading in readings) == pytest.approx(0.3 * 6 * 24 * 60, rel=0.05)
    for reading in readings[1:]:
        if reading.temp_c is not None:
            assert reading.temp_c == pytest.approx(20.1 + reading.boot_s / 86_400, abs=0.3)
    assert sum(reading.temp_c is None for reading in readings) < 10
    assert not [change for judged in stand.judged for change in judged.changes]
    stand.end()


def test_a_sensor_that_is_gone_is_silent_after_ten_minutes_and_recovers_by_itself(tmp_path: Path, wire: Wire):
    good, gone = flaky(), a_frame()[:1]
    stand = a_station_on_a_wire(tmp_path, wire, lambda s: gone if 3600 <= s < 7200 else good(s))
    stand.live(60 + 9)
    assert "silent" not in stand.raised()
    stand.live(2)
    assert "silent" in stand.raised()
    stand.live(49 + 5)
    assert "silent" not in stand.raised()
    assert all(judged.minute.reading.temp_c is None for judged in stand.judged[62:118]), "a gap is never filled in"
    stand.end()


def test_a_sensor_that_is_stuck_is_doubted_and_believed_again_when_it_moves(tmp_path: Path, wire: Wire):
    good, stuck = flaky(), a_climate(56.0, 20.3)
    stand = a_station_on_a_wire(tmp_path, wire, lambda s: stuck if 3600 <= s < 3 * 3600 else good(s))
    stand.live(3 * 60)
    assert stand.judged[-1].minute.reading.marks & Mark.STUCK
    assert "silent" in stand.raised()
    stand.live(10)
    assert stand.judged[-1].minute.reading.temp_c is not None
    assert "silent" not in stand.raised()
    stand.end()


@pytest.mark.parametrize(
    ("what", "frame"),
    [
        ("zeros", a_frame(0, 0, 0, 0, 0)),
        ("3,276.7 °C", a_frame(*summed(0x02, 0x8C, 0x7F, 0xFF))),
        ("noise", array("H", [3] * 81)),
    ],
)
def test_a_day_of_rubbish_is_a_day_of_gaps_with_one_alert(tmp_path: Path, wire: Wire, what: str, frame):
    stand = a_station_on_a_wire(tmp_path, wire, lambda _: frame)
    stand.live(24 * 60)
    assert len(stand.judged) == 24 * 60
    assert not any(judged.minute.reading.measured for judged in stand.judged)
    assert stand.raised() == {"silent"}
    stand.end()


def test_a_light_at_full_scale_is_kept_as_a_lower_bound(tmp_path: Path, bus: Bus):
    bus.chips[0x23] = Bh1750Chip(b"\xff\xff")
    sensor = Bh1750("shelf")
    sensor.open()
    stand = a_stand(tmp_path, lambda _: sensor.sample())
    stand.live(6)
    reading = stand.judged[-1].minute.reading
    assert reading.marks & Mark.SATURATED
    assert reading.light_lx == pytest.approx(54_612, abs=1)
    assert "sun" in stand.raised()
    stand.end()


@pytest.mark.parametrize("script", [f"{READY}; read x; exec sleep 600", f"{READY}; read x; exit 1"])
def test_a_driver_that_never_comes_back_costs_no_minute(tmp_path: Path, script: str):
    clock = ManualClock(START)
    part = Apart("shelf", 2.1, ("sh", "-c", script), deadline_s=0.001, clock_s=clock.boottime_s)
    with closing(part):
        part.open()
        stand = a_stand(tmp_path, lambda _: settled(part), clock=clock)
        stand.live(60)
        before = held()
        stand.live(120)
        assert [judged.minute.reading.boot_s for judged in stand.judged] == [60.0 * n for n in range(1, 181)]
        assert stand.raised() == {"silent"}
        assert abs(held()[1] - before[1]) <= 2
        stand.end()
