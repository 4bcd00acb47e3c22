"""From the settings to the parts."""

import subprocess
import sys

import pytest
from gpiozero.pins.mock import MockFactory

from hardware.corrected import Corrected
from hardware.lines import part_line, part_of
from hardware.parts import Part, adapter_of
from hardware.rig import button_of, rig_of, sensors_of, signal_of
from sim.clocks import ManualClock
from station.config import SensorSettings, Settings, SignalSettings
from station.domain.corrections import Point, humidity_correction
from station.domain.readings import Miss, Sample
from station.errors import SettingsError
from tests.builders import START
from tests.daemon.world import ScriptedSensor

ALL = ("dht22", "dht11", "photoresistor", "mcp3008", "bh1750", "veml7700", "ds18b20")


def a_sensor(part: str = "dht22", **changes: object) -> SensorSettings:
    return SensorSettings.model_validate({"name": "air", "part": part, **changes})


def settings(*sensors: SensorSettings, **signal: int) -> Settings:
    return Settings(sensors=sensors, signal=SignalSettings(**signal))


@pytest.mark.parametrize("kind", ALL)
def test_every_part_of_the_settings_has_an_adapter(kind: str):
    (sensor,) = sensors_of(settings(a_sensor(kind)))
    assert sensor.name == "air"
    assert sensor.spacing_s == adapter_of(Part("air", kind)).spacing_s


def test_a_wider_spacing_is_kept_and_a_narrower_one_is_not_given_to_a_dht():
    wide, narrow = a_sensor(spacing_s=30), a_sensor(spacing_s=0.5)
    assert sensors_of(settings(wide))[0].spacing_s == 30
    assert sensors_of(settings(narrow))[0].spacing_s == 2.1


def test_a_part_survives_the_way_to_its_reader():
    part = Part("air", "mcp3008", channel=7, resistor_ohm=2200.0, spacing_s=5.0)
    assert part_of(part_line(part)) == part


@pytest.mark.parametrize(
    ("wired", "words"),
    [
        (settings(a_sensor(pin=4), a_sensor("photoresistor", name="light", pin=4)), "GPIO 4 is given to air and light"),
        (
            settings(a_sensor(pin=22), red_pin=22, green_pin=23, blue_pin=24),
            "GPIO 22 is given to air and signal.red_pin",
        ),
        (settings(a_sensor(pin=4), a_sensor("ds18b20", name="jar")), "GPIO 4 is given to air and 1-Wire"),
        (settings(a_sensor(pin=2), a_sensor("bh1750", name="lux")), "GPIO 2 is given to air and the I²C bus"),
        (settings(buzzer_pin=5, button_pin=5), "GPIO 5 is given to signal.buzzer_pin and signal.button_pin"),
    ],
)
def test_two_parts_on_one_pin_are_refused_by_name(wired: Settings, words: str):
    with pytest.raises(SettingsError, match=words):
        sensors_of(wired)


def test_parts_on_one_bus_share_it():
    assert len(sensors_of(settings(a_sensor("bh1750"), a_sensor("veml7700", name="other")))) == 2


def test_a_lamp_with_two_of_three_pins_is_refused():
    with pytest.raises(SettingsError, match="the lamp needs red_pin, green_pin and blue_pin"):
        signal_of(settings(red_pin=22, green_pin=23))


def test_a_station_without_lamp_and_button_needs_no_pins():
    signal_of(Settings()).show("act")
    assert button_of(Settings()) is None


def test_the_whole_rig(mock_pins: MockFactory):
    wired = settings(a_sensor(), red_pin=22, green_pin=23, blue_pin=24, buzzer_pin=25, button_pin=5)
    rig = rig_of(wired, ManualClock(START))
    button = button_of(wired)
    rig.signal.show("good")
    assert mock_pins.pin(23).state
    rig.signal.close()
    button.close()
    assert [sensor.name for sensor in rig.sensors] == ["air"]


def test_a_correction_counts_from_the_moment_it_is_there():
    raw = ScriptedSensor(ManualClock(START), lambda _: Sample("air", 20.0, 61.0))
    known = []
    sensor = Corrected(raw, lambda: known)
    assert sensor.sample().rh_pct == 61.0
    known.append(humidity_correction("air", [Point(81.4, 75.4, "a salt", START)], START))
    assert sensor.sample().rh_pct == pytest.approx(55.0)
    assert sensor.sample().temp_c == 20.0


def test_a_miss_stays_a_miss():
    raw = ScriptedSensor(ManualClock(START), lambda _: Miss("air", "no answer"))
    assert Corrected(raw, lambda: ()).sample() == Miss("air", "no answer")


def test_neither_the_rig_nor_any_adapter_loads_a_driver_before_it_is_opened():
    script = (
        "import pkgutil, sys, importlib, hardware\n"
        "for module in pkgutil.iter_modules(hardware.__path__):\n"
        "    importlib.import_module(f'hardware.{module.name}')\n"
        "from hardware.parts import Part, adapter_of\n"
        f"[adapter_of(Part('air', kind)) for kind in {ALL}]\n"
        "drivers = {'board', 'busio', 'digitalio', 'gpiozero', 'lgpio', 'gpiod', 'RPi'}\n"
        "print(sorted(name for name in sys.modules if name in drivers or name.startswith('adafruit')))\n"
    )
    said = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"


def test_a_reader_carries_no_settings_and_no_web_library():
    """It is there once for each part, so its memory counts."""
    script = "import sys, hardware.reader; print([m for m in ('pydantic', 'click', 'sqlite3') if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"
