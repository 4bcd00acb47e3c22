"""A photoresistor on a capacitor and on an MCP3008, over gpiozero's mock pins."""

import math

import pytest
from gpiozero.pins.mock import MockFactory

from hardware.mcp3008 import Mcp3008Light
from hardware.photocell import charging_ohm, divider_ohm, light_lx, resistance_ohm
from hardware.photoresistor import DARK_S, Photoresistor
from station.domain.quality import Reason, SensorState, judge_sample
from station.domain.readings import Sample
from station.errors import SensorError
from tests.hardware.analog import Mcp3008Chip, a_photoresistor
from tests.hardware.bench import Hand


@pytest.mark.parametrize("true_lx", [3, 10, 300, 1000, 10_000, 30_000])
def test_the_time_of_a_charge_gives_the_light(mock_pins: MockFactory, hand: Hand, true_lx: float):
    charge_s = 0.54 * resistance_ohm(true_lx) * 10e-6
    answer = a_photoresistor(mock_pins, hand, charge_s).sample()
    assert isinstance(answer, Sample)
    assert answer.light_lx == pytest.approx(true_lx, rel=0.1)
    assert not answer.saturated


def test_a_busy_processor_does_not_make_it_dark(mock_pins: MockFactory, hand: Hand):
    """gpiozero's LightSensor reads dark then: a late look can only make a charge seem longer."""
    calm = a_photoresistor(mock_pins, hand, 0.004)
    expected = calm.sample()
    calm.close()
    busy = a_photoresistor(mock_pins, hand, 0.104, 0.004, 0.204, 0.004, 0.304)
    assert busy.sample().light_lx == pytest.approx(expected.light_lx, rel=0.01)


def test_one_early_edge_does_not_make_it_bright(mock_pins: MockFactory, hand: Hand):
    calm = a_photoresistor(mock_pins, hand, 0.004)
    expected = calm.sample()
    calm.close()
    touched = a_photoresistor(mock_pins, hand, 0.004, 0.0, 0.004, 0.004, 0.004)
    assert touched.sample().light_lx == pytest.approx(expected.light_lx, rel=0.01)


def test_dark_is_0_lx_and_soon_said(mock_pins: MockFactory, hand: Hand):
    sensor, begun_s = a_photoresistor(mock_pins, hand, 60.0), hand()
    assert sensor.sample() == Sample("light", light_lx=0.0)
    assert hand() - begun_s < 2 * DARK_S


def test_glare_is_saturated(mock_pins: MockFactory, hand: Hand):
    answer = a_photoresistor(mock_pins, hand, 0.00001).sample()
    assert isinstance(answer, Sample)
    assert answer.saturated
    assert answer.light_lx > 50_000


def test_no_thread_is_left_that_could_die(mock_pins: MockFactory, hand: Hand):
    """With gpiozero's LightSensor a dead thread repeats the last value or blocks for ever; here none is needed."""
    import threading

    before = threading.active_count()
    sensor = a_photoresistor(mock_pins, hand, 0.004)
    sensor.sample()
    assert threading.active_count() == before
    assert mock_pins.pin(27).when_changed is None


@pytest.mark.parametrize("capacitor_uf", [10.0, 100.0])
def test_glare_is_taken_for_light_whatever_the_capacitor(mock_pins: MockFactory, hand: Hand, capacitor_uf: float):
    answer = a_photoresistor(mock_pins, hand, 0.00001, capacitor_uf=capacitor_uf).sample()
    assert isinstance(answer, Sample)
    assert judge_sample(SensorState(), answer, 0.0)[1].light is Reason.SATURATED


@pytest.mark.parametrize("count", [1000, 1010, 1021, 1022, 1023])
def test_an_mcp3008_in_glare_says_at_least_full_sun(mock_pins: MockFactory, count: int):
    """Direct sun is 32,000 to 100,000 lx (illuminance tables)."""
    with Mcp3008Chip(11, 10, 9, 8, pin_factory=mock_pins) as chip:
        chip.counts = {0: count}
        sensor = Mcp3008Light("light")
        sensor.open()
        answer = sensor.sample()
        sensor.close()
    assert answer == Sample("light", light_lx=100_000.0, saturated=True)
    assert judge_sample(SensorState(), answer, 0.0)[1].light is Reason.SATURATED


@pytest.mark.parametrize(("count", "saturated"), [(1, False), (512, False), (999, False)])
def test_an_mcp3008_word_gives_the_light(mock_pins: MockFactory, count: int, saturated: bool):
    with Mcp3008Chip(11, 10, 9, 8, pin_factory=mock_pins) as chip:
        chip.counts = {3: count}
        sensor = Mcp3008Light("light", channel=3, resistor_ohm=1000)
        sensor.open()
        answer = sensor.sample()
        sensor.close()
    assert isinstance(answer, Sample)
    cell_ohm = 1000 * (1023 - count) / count  # data sheet: count = 1024 V / Vref; the divider's rule
    assert resistance_ohm(answer.light_lx) == pytest.approx(cell_ohm, rel=0.001)
    assert answer.saturated is saturated


def test_an_mcp3008_in_the_dark_is_0_lx(mock_pins: MockFactory):
    with Mcp3008Chip(11, 10, 9, 8, pin_factory=mock_pins) as chip:
        chip.counts = {0: 0}
        sensor = Mcp3008Light("light")
        sensor.open()
        assert sensor.sample() == Sample("light", light_lx=0.0)
        sensor.close()


def test_a_pin_taken_twice_is_an_error_with_a_remedy(mock_pins: MockFactory, hand: Hand):
    first = a_photoresistor(mock_pins, hand, 0.004)
    with pytest.raises(SensorError, match="GPIO27"):
        Photoresistor("other", 27).open()
    first.close()


def test_the_nominal_cell_is_a_straight_line_in_logarithms():
    """Common practice: 15 kΩ at 10 lx, and a decade of light takes 0.7 decades of resistance."""
    assert light_lx(15_000) == pytest.approx(10)
    assert math.log10(resistance_ohm(100) / resistance_ohm(1000)) == pytest.approx(0.7)


def test_charge_and_divider_give_the_resistance_back():
    """R = t / (k C) with k = -ln(1 - 1.37/3.3); R = R0 (1 - v) / v."""
    assert charging_ohm(-math.log(1 - 1.37 / 3.3) * 4700 * 10e-6, 10) == pytest.approx(4700, rel=0.01)
    assert divider_ohm(1000 / (1000 + 4700), 1000) == pytest.approx(4700)
