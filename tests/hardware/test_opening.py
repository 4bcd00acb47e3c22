"""Whatever a driver raises while it is opened or read becomes one sentence and a remedy."""

import builtins
import errno
import sys
from types import ModuleType

import pytest
from gpiozero.pins.mock import MockFactory

from hardware.apart import Apart
from hardware.opening import opening, reason_of
from hardware.photoresistor import Photoresistor
from hardware.pins import taking
from hardware.reasons import Reason
from station.domain.readings import Miss
from station.errors import SensorError
from tests.hardware.bench import Hand


@pytest.mark.parametrize(
    ("error", "what", "remedy"),
    [
        (ModuleNotFoundError("no", name="lgpio"), "the driver lgpio is not installed", "pip install 'jarside[pi]'"),
        (PermissionError(errno.EACCES, "no"), "no permission to use the pins", "usermod -aG gpio,i2c,spi"),
        (FileNotFoundError(errno.ENOENT, "no"), "the pins cannot be found on this machine", "Switch them on."),
        (NotImplementedError("board not supported"), "the pins cannot be found on this machine", "Switch them on."),
        (OSError(errno.EBUSY, "no"), "another program uses the pins", "sudo systemctl stop jarside-watch"),
        (OSError(errno.EIO, "no"), "the pins cannot be used", "hardware/README.md"),
    ],
)
def test_every_error_names_the_part_and_a_remedy(error: Exception, what: str, remedy: str):
    with pytest.raises(SensorError) as caught, opening("air", "the pins", "Switch them on."):
        raise error
    assert caught.value.what.startswith("air: ")
    assert what in caught.value.what
    assert remedy in caught.value.remedy


def test_an_error_nobody_foresaw_is_not_hidden():
    with pytest.raises(ZeroDivisionError), opening("air", "the pins", "Switch them on."):
        raise ZeroDivisionError


@pytest.mark.parametrize(
    ("number", "reason"),
    [
        (errno.EBUSY, Reason.IN_USE),
        (errno.EACCES, Reason.NOT_ALLOWED),
        (errno.EPERM, Reason.NOT_ALLOWED),
        (errno.EREMOTEIO, Reason.NO_ANSWER),
        (errno.ENODEV, Reason.NO_ANSWER),
    ],
)
def test_a_failed_read_is_told_by_its_number(number: int, reason: Reason):
    assert reason_of(OSError(number, "whatever the text")) is reason


class LgpioError(Exception):
    """lgpio has an error class of its own, which is no OSError."""


@pytest.fixture
def lgpio(monkeypatch: pytest.MonkeyPatch) -> None:
    """Something with lgpio's error in lgpio's place."""
    module = ModuleType("lgpio")
    module.error = LgpioError  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "lgpio", module)


def test_lgpios_own_error_is_understood_when_a_pin_is_taken(mock_pins: MockFactory, lgpio: None):
    with pytest.raises(SensorError, match="lamp: 'GPIO busy'"), taking("lamp"):
        raise LgpioError("'GPIO busy'")


def test_lgpios_own_error_is_a_miss_when_a_pin_is_read(mock_pins: MockFactory, lgpio: None, monkeypatch):
    def fail(_: object) -> None:
        raise LgpioError

    sensor = Photoresistor("light", 27)
    sensor.open()
    monkeypatch.setattr(sensor, "_charge_s", fail)
    assert sensor.sample() == Miss("light", Reason.NO_ANSWER)
    sensor.close()


def test_pins_that_one_may_not_use_are_said(monkeypatch: pytest.MonkeyPatch, tmp_path):
    import gpiozero

    from hardware import pins

    (tmp_path / "gpiochip0").touch()
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setattr(pins, "CHIPS", tmp_path)
    monkeypatch.setattr(pins.os, "access", lambda *_: False)
    with pytest.raises(SensorError, match="no permission to use the pins"), taking("lamp"):
        pass


def test_a_missing_bus_is_said(monkeypatch: pytest.MonkeyPatch):
    import busio

    from hardware.bh1750 import Bh1750

    def none(scl: object, sda: object) -> None:
        raise ValueError("No Hardware I2C on")

    monkeypatch.setattr(busio, "I2C", none)
    with pytest.raises(SensorError) as caught:
        Bh1750("lux").open()
    assert "no I²C bus" in caught.value.what
    assert "do_i2c 0" in caught.value.remedy


@pytest.mark.parametrize(
    ("part", "module"),
    [
        ("bh1750:Bh1750", "adafruit_bh1750"),
        ("veml7700:Veml7700", "adafruit_veml7700"),
        ("mcp3008:Mcp3008Light", "gpiozero"),
    ],
)
def test_without_its_library_a_part_names_the_install_line(part: str, module: str, monkeypatch: pytest.MonkeyPatch):
    file, _, name = part.partition(":")
    adapter = getattr(__import__(f"hardware.{file}", fromlist=[name]), name)
    real = builtins.__import__

    def without(wanted: str, *rest: object) -> object:
        if wanted.split(".")[0] == module:
            raise ModuleNotFoundError(f"No module named {module!r}", name=module)
        return real(wanted, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SensorError) as caught:
        adapter("light").open()
    assert caught.value.what == f"light: the driver {module} is not installed"
    assert caught.value.remedy == "Install the drivers: pip install 'jarside[pi]'."


def test_a_machine_that_cannot_start_a_process_misses_and_goes_on(hand: Hand):
    part = Apart("air", 2.1, ("/nonexistent/python",), clock_s=hand)
    part.open()
    assert part.sample() == Miss("air", Reason.DIED)
    hand.wait(5)
    assert part.sample() == Miss("air", Reason.RESTING)
    part.close()
