"""The DS18B20 adapter over files as the kernel writes them, with words from the data sheet."""

from pathlib import Path

import pytest

from hardware.ds18b20 import Ds18b20, temperature_c
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample
from station.errors import SensorError
from tests.hardware.onewire import SERIAL, a_probe, kernel_text


@pytest.mark.parametrize(
    ("word", "temp_c"),
    [  # DS18B20 data sheet, table 1
        (0x07D0, 125.0),
        (0x0191, 25.0625),
        (0x00A2, 10.125),
        (0xFF5E, -10.125),
        (0xFC90, -55.0),
    ],
)
def test_the_data_sheets_words(word: int, temp_c: float):
    assert temperature_c(kernel_text(word)) == temp_c


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        pytest.param(kernel_text(0x0550), Reason.POWER_ON, id="85 °C, the power-on value (data sheet)"),
        pytest.param(kernel_text(0x0191, "NO"), Reason.BAD_CHECKSUM, id="check sum"),
        pytest.param("00 00 00 00 00 00 00 00 00 : crc=00 YES\n", Reason.EMPTY_FRAME, id="a line held low"),
        pytest.param(kernel_text(0x7FFF), Reason.OUT_OF_RANGE, id="beyond its range"),
        pytest.param("", Reason.BAD_CHECKSUM, id="nothing"),
        pytest.param("91 01 4b : crc=1c YES\n", Reason.BAD_CHECKSUM, id="cut off"),
        pytest.param("what is this : crc=1c YES\n", Reason.BAD_CHECKSUM, id="rubbish"),
    ],
)
def test_what_is_not_a_temperature(text: str, reason: Reason):
    assert temperature_c(text) is reason


def test_the_only_probe_is_found_even_when_it_is_plugged_in_later(tmp_path: Path):
    probe = Ds18b20("jar-1", devices=tmp_path)
    probe.open()
    assert probe.sample() == Miss("jar-1", Reason.NO_ANSWER)
    a_probe(tmp_path)
    assert probe.sample() == Sample("jar-1", temp_c=25.0625)


def test_of_two_probes_one_must_be_named(tmp_path: Path):
    a_probe(tmp_path)
    a_probe(tmp_path, 0x00A2, "28-0316a2794b00")
    with pytest.raises(SensorError, match=f"2 probes: {SERIAL}, 28-0316a2794b00"):
        Ds18b20("jar-1", devices=tmp_path).open()
    named = Ds18b20("jar-1", "28-0316a2794b00", devices=tmp_path)
    named.open()
    assert named.sample() == Sample("jar-1", temp_c=10.125)


def test_without_the_overlay_the_remedy_names_it(tmp_path: Path):
    with pytest.raises(SensorError) as caught:
        Ds18b20("jar-1", devices=tmp_path / "w1").open()
    assert "dtoverlay=w1-gpio" in caught.value.remedy
