"""The guided corrections, driven by the simulator's sensors."""

import math
from dataclasses import replace

import pytest

from hardware.calibrate import KNOWN_LX, light_point, salt_point
from hardware.photocell import divider_ohm, light_lx
from hardware.salt_watch import Phase, SaltWatch, watched
from sim.clocks import ManualClock
from sim.faults import FLAKY, Faults, SensorPlan
from sim.sensors import SimSensor, sensor_of
from sim.world import Shelf
from station.domain.corrections import Point, humidity_correction, joined, light_correction, true_value
from station.domain.readings import Miss, Sample
from station.domain.salts import Salt, salt_rh_pct
from station.errors import JarsideError, SensorError
from tests.builders import START
from tests.daemon.world import ScriptedSensor
from tests.sim.models import StillWorld

BAD = replace(FLAKY, offset_pct=6.0, gain=1.08)
"""6 %RH high and 8 % steep, and as flaky as a DHT22 is on a Pi."""


class BagWorld(StillWorld):
    """A sealed bag: its air nears the salt's humidity with a time constant, in a room that swings a little."""

    def __init__(self, salt: Salt, hours: float = 1.0, swing_c: float = 0.4, leak_pct: float = 0.0) -> None:
        super().__init__()
        self.salt, self.hours, self.swing_c, self.leak_pct = salt, hours, swing_c, leak_pct

    def at(self, elapsed_s: float) -> Shelf:
        temp_c = 21.0 + self.swing_c * math.sin(elapsed_s / 86_400 * 2 * math.pi)
        end_pct = salt_rh_pct(self.salt, temp_c) + self.leak_pct * math.sin(elapsed_s / 7200)
        rh_pct = end_pct + (50.0 - end_pct) * math.exp(-elapsed_s / 3600 / self.hours)
        return replace(self.shelf, sensor_c=temp_c, sensor_rh_pct=rh_pct)


def a_bag(salt: Salt, faults: Faults = BAD, seed: int = 1, **bag: float) -> tuple[SimSensor, ManualClock]:
    """A simulated sensor in a bag, and its clock."""
    clock = ManualClock(START)
    sensor = sensor_of(SensorPlan("air", "climate", faults=faults), BagWorld(salt, **bag), clock.elapsed_s, seed)
    sensor.open()
    return sensor, clock


def calibrated(*salts: Salt, faults: Faults = BAD, seed: int = 1, **bag: float):
    """The correction after one bag for each salt."""
    points: tuple[Point, ...] = ()
    for salt in salts:
        sensor, clock = a_bag(salt, faults, seed, **bag)
        points = joined(points, salt_point(sensor, salt, clock), "humidity")
    return humidity_correction("air", points, START)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("true_pct", [33.0, 60.0, 85.0])
def test_two_salts_bring_a_bad_sensor_within_one_percent(seed: int, true_pct: float):
    correction = calibrated(Salt.MAGNESIUM_CHLORIDE, Salt.SODIUM_CHLORIDE, seed=seed)
    said_pct = BAD.gain * true_pct + BAD.offset_pct
    assert true_value(correction, said_pct) == pytest.approx(true_pct, abs=1.0)


@pytest.mark.parametrize("hours", [0.3, 2.0])
def test_a_quick_and_a_slow_bag_end_in_the_same_place(hours: float):
    correction = calibrated(Salt.MAGNESIUM_CHLORIDE, Salt.SODIUM_CHLORIDE, hours=hours)
    for true_pct in (33.0, 60.0, 85.0):
        assert true_value(correction, BAD.gain * true_pct + BAD.offset_pct) == pytest.approx(true_pct, abs=1.0)


def test_one_salt_brings_a_sensor_that_is_only_high_within_one_percent():
    high = Faults(missed=0.3, offset_pct=6.0)
    correction = calibrated(Salt.SODIUM_CHLORIDE, faults=high)
    for true_pct in (33.0, 60.0, 85.0):
        assert true_value(correction, true_pct + 6.0) == pytest.approx(true_pct, abs=1.0)


def test_it_waits_for_the_bag_and_not_for_the_clock():
    lengths = []
    for hours in (0.3, 3.0):
        sensor, clock = a_bag(Salt.SODIUM_CHLORIDE, hours=hours)
        salt_point(sensor, Salt.SODIUM_CHLORIDE, clock)
        lengths.append(clock.elapsed_s() / 3600)
    assert 2.0 <= lengths[0] < 4.0
    assert lengths[1] > lengths[0] + 4.0


def test_a_point_says_which_salt_and_how_warm():
    sensor, clock = a_bag(Salt.SODIUM_CHLORIDE, Faults())
    point = salt_point(sensor, Salt.SODIUM_CHLORIDE, clock)
    assert point.basis.startswith("sodium-chloride at 21.")
    assert point.true == pytest.approx(75.45, abs=0.1)  # Greenspan 1977: 75.48 at 20 °C, 75.30 at 25 °C
    assert point.at == clock.now()


def test_a_leaking_bag_is_given_up_after_a_day():
    sensor, clock = a_bag(Salt.SODIUM_CHLORIDE, leak_pct=5.0)
    with pytest.raises(SensorError, match="did not become steady"):
        salt_point(sensor, Salt.SODIUM_CHLORIDE, clock)
    assert clock.elapsed_s() == pytest.approx(86_400, abs=60)


def test_a_sensor_that_dies_in_the_bag_ends_the_routine():
    sensor, clock = a_bag(Salt.SODIUM_CHLORIDE, replace(BAD, unplugged_h=((1.0, 30.0),)))
    with pytest.raises(SensorError, match="no good answer for ten minutes"):
        salt_point(sensor, Salt.SODIUM_CHLORIDE, clock)
    assert clock.elapsed_s() < 4500


def test_a_room_outside_the_salts_table_is_said():
    watch = SaltWatch(Salt.SODIUM_CHLORIDE, 0.0, 0.0)
    for second in range(0, 4 * 3600, 10):
        watch = watched(watch, Sample("air", 9.0, 76.0 + 0.1 * (second // 10 % 2)), second)
    assert watch.phase is Phase.STEADY
    from hardware.calibrate import point_of

    with pytest.raises(JarsideError, match=r"9.0 °C"):
        point_of(watch, "air", START)


def test_the_watch_forgets_what_is_older_than_its_window():
    watch = SaltWatch(Salt.SODIUM_CHLORIDE, 0.0, 0.0)
    for second in range(0, 20 * 3600, 10):
        watch = watched(watch, Sample("air", 21.0, 40.0 + second / 3600), second)
    assert watch.phase is Phase.SETTLING
    assert len(watch.minutes) <= 91
    assert len(watch.samples) <= 6
    assert watch.drift_pct_per_h == pytest.approx(1.0, abs=0.01)


def test_a_few_doubled_values_do_not_disturb_it():
    watch = SaltWatch(Salt.SODIUM_CHLORIDE, 0.0, 0.0)
    for second in range(0, 3 * 3600, 10):
        answer = Sample("air", 21.0, 99.0 if second % 600 == 0 else 75.4)
        watch = watched(watch, Miss("air", "no answer") if second % 30 == 0 else answer, second)
    assert watch.phase is Phase.STEADY
    assert watch.rh_pct == pytest.approx(75.4)


# Light: a true cell that differs from the nominal one, read through the ten bits of an MCP3008.


def said_lx(true_lx: float, at_10_lx_ohm: float, gamma: float, resistor_ohm: float = 1000.0) -> float:
    """What the adapter says of a cell that is not the nominal one, rounded as the converter rounds."""
    cell_ohm = at_10_lx_ohm * (10.0 / true_lx) ** gamma
    share = round(1023 * resistor_ohm / (resistor_ohm + cell_ohm)) / 1023
    return light_lx(divider_ohm(share, resistor_ohm))


def a_light(lx: float, flicker: float = 0.0) -> tuple[ScriptedSensor, ManualClock]:
    clock = ManualClock(START)
    return ScriptedSensor(clock, lambda s: Sample("light", light_lx=lx * (1 + flicker * (s // 2 % 2)))), clock


@pytest.mark.parametrize(("at_10_lx_ohm", "gamma"), [(8_000, 0.6), (15_000, 0.7), (25_000, 0.8)])
def test_two_moments_bring_a_photoresistor_within_a_fifth_over_three_decades(at_10_lx_ohm: float, gamma: float):
    points = []
    for true_lx in (200.0, 9_000.0):
        sensor, clock = a_light(said_lx(true_lx, at_10_lx_ohm, gamma))
        points.append(light_point(sensor, true_lx, "lux meter", clock))
    correction = light_correction("light", points, START)
    for true_lx in (30, 100, 300, 1000, 3000, 10_000, 30_000):
        assert true_value(correction, said_lx(true_lx, at_10_lx_ohm, gamma)) == pytest.approx(true_lx, rel=0.2)


@pytest.mark.parametrize(("at_10_lx_ohm", "gamma"), [(8_000, 0.6), (25_000, 0.8)])
def test_without_a_correction_the_same_cells_are_far_off(at_10_lx_ohm: float, gamma: float):
    """So the test above cannot pass by itself."""
    errors = [said_lx(true_lx, at_10_lx_ohm, gamma) / true_lx for true_lx in (30, 300, 3000, 30_000)]
    assert max(max(error, 1 / error) for error in errors) > 1.5


@pytest.mark.parametrize(
    ("script", "words"),
    [
        (lambda s: Sample("light", light_lx=300.0 if s < 8 else 600.0), "the light changed from 300 to 600 lx"),
        (lambda s: Sample("light", light_lx=54_612.0, saturated=True), "at full scale"),
        (lambda s: Miss("light", "no answer"), "0 good answers of 9"),
    ],
)
def test_a_moment_that_is_none_is_refused(script, words: str):
    clock = ManualClock(START)
    with pytest.raises(SensorError, match=words):
        light_point(ScriptedSensor(clock, script, name="light"), 300.0, "lux meter", clock)


def test_known_moments_follow_the_tables():
    """Illuminance tables: beside a shaded window 2,000 lx, away from it 300; behind double glazing 6,800 to 9,200."""
    assert KNOWN_LX["room"] == 300
    assert KNOWN_LX["shade"] == 2000
    assert 6800 <= KNOWN_LX["sun"] <= 9200
