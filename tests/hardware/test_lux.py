"""The lux sensors on I²C over their real drivers, with bytes from the data sheets."""

import pytest

from hardware.bh1750 import Bh1750
from hardware.reasons import Reason
from hardware.veml7700 import Veml7700
from station.domain.readings import Miss, Sample
from tests.hardware.buses import Bh1750Chip, Bus, Veml7700Chip


def a_bh1750(bus: Bus, data: bytes) -> Bh1750:
    bus.chips[0x23] = Bh1750Chip(data)
    sensor = Bh1750("light")
    sensor.open()
    return sensor


def a_veml7700(bus: Bus, count: int) -> Veml7700:
    bus.chips[0x10] = Veml7700Chip(count)
    sensor = Veml7700("light")
    sensor.open()
    return sensor


def lit(sensor: Veml7700) -> Sample:
    """The first sample after the chip has been set up."""
    assert sensor.sample() == Miss("light", Reason.STARTING)
    answer = sensor.sample()
    assert isinstance(answer, Sample)
    return answer


def test_the_data_sheets_bytes_of_a_bh1750(bus: Bus):
    answer = a_bh1750(bus, bytes([0x83, 0x90])).sample()  # BH1750FVI data sheet: 83 90 is 28,067 lx
    assert isinstance(answer, Sample)
    assert answer.light_lx == pytest.approx(28_067, abs=1)
    assert not answer.saturated


def test_a_bh1750_at_full_scale_says_saturated(bus: Bus):
    answer = a_bh1750(bus, b"\xff\xff").sample()
    assert isinstance(answer, Sample)
    assert answer.light_lx == pytest.approx(54_612, abs=1)  # BH1750FVI data sheet: 65,535 / 1.2
    assert answer.saturated


def test_a_bh1750_that_lost_its_supply_unnoticed_does_not_stay_dark(bus: Bus):
    sensor = a_bh1750(bus, bytes([0x83, 0x90]))
    sensor.sample()
    bus.chips[0x23].opcode = 0x00
    assert sensor.sample() == Sample("light", light_lx=pytest.approx(28_066.67, abs=0.01))


def test_real_darkness_is_0_lx(bus: Bus):
    assert a_bh1750(bus, b"\0\0").sample() == Sample("light", light_lx=0.0)


def test_a_bh1750_plugged_in_later_and_elsewhere_is_found(bus: Bus):
    sensor = a_bh1750(bus, bytes([0x83, 0x90]))
    chip = bus.chips.pop(0x23)
    assert sensor.sample() == Miss("light", Reason.NO_ANSWER)
    bus.chips[0x5C] = chip
    assert sensor.sample() == Miss("light", Reason.NO_ANSWER)
    other = Bh1750("light", address=0x5C)
    other.open()
    assert isinstance(other.sample(), Sample)


def test_a_veml7700_in_a_room_and_in_the_sun(bus: Bus):
    """VEML7700 application note: at gain 1/8 and 100 ms a count is 0.5376 lx, straightened by its polynomial."""
    room = lit(a_veml7700(bus, 930))
    assert room.light_lx == pytest.approx(0.5376 * 930, rel=0.05)  # the polynomial adds 4 % at 500 lx
    sun = lit(a_veml7700(bus, 40_000))
    raw_lx = 0.5376 * 40_000
    true_lx = 6.0135e-13 * raw_lx**4 - 9.3924e-9 * raw_lx**3 + 8.1488e-5 * raw_lx**2 + 1.0023 * raw_lx
    assert sun.light_lx == pytest.approx(true_lx, rel=0.001)
    assert not sun.saturated


@pytest.mark.parametrize("count", [50_000, 65_535])
def test_a_veml7700_beyond_its_range_says_saturated(bus: Bus, count: int):
    answer = lit(a_veml7700(bus, count))
    assert (answer.light_lx, answer.saturated) == (120_000, True)  # data sheet: up to about 120,000 lx


def test_a_veml7700_that_lost_its_supply_unnoticed_does_not_stay_dark(bus: Bus):
    sensor = a_veml7700(bus, 930)
    before = lit(sensor)
    bus.chips[0x10].power_on()
    assert lit(sensor) == before


def test_a_veml7700_that_comes_back_is_set_up_afresh(bus: Bus):
    sensor = a_veml7700(bus, 930)
    before = lit(sensor)
    chip = bus.chips.pop(0x10)
    assert sensor.sample() == Miss("light", Reason.NO_ANSWER)
    chip.power_on()
    assert sensor.sample() == Miss("light", Reason.NO_ANSWER)
    bus.chips[0x10] = chip
    assert lit(sensor) == before
