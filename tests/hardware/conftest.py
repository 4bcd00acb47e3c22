"""Mock pins for every test here, and the tests that need a Raspberry Pi skipped by name."""

import os
from collections.abc import Iterator

import pytest

from tests.hardware.bench import Hand
from tests.hardware.buses import Bus
from tests.hardware.frames import Wire

ON_A_PI = os.path.exists("/proc/device-tree/model")
if not ON_A_PI:
    os.environ["BLINKA_OS_AGNOSTIC"] = "1"  # before any driver is imported: none of the above does


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip what is marked `pi` where there is no Pi, each by its own name."""
    for item in items:
        if not ON_A_PI and item.get_closest_marker("pi"):
            item.add_marker(pytest.mark.skip(reason=f"needs a Raspberry Pi: {item.name}"))


@pytest.fixture
def hand() -> Hand:
    """A clock that is moved by hand."""
    return Hand()


@pytest.fixture
def wire(monkeypatch: pytest.MonkeyPatch) -> Wire:
    """The wire of the real DHT driver on pin 17, which exists in no other board than a Pi's."""
    import adafruit_dht
    import board

    line = Wire([])
    monkeypatch.setattr(board, "D17", object(), raising=False)
    monkeypatch.setattr(adafruit_dht.DHTBase, "_get_pulses_bitbang", lambda _: line.read())
    return line


@pytest.fixture
def mock_pins() -> Iterator[object]:
    """gpiozero's mock factory, in place of lgpio."""
    from gpiozero import Device
    from gpiozero.pins.mock import MockFactory

    before, Device.pin_factory = Device.pin_factory, MockFactory()
    yield Device.pin_factory
    Device.pin_factory.reset()
    Device.pin_factory = before


@pytest.fixture
def bus(monkeypatch: pytest.MonkeyPatch) -> Bus:
    """The I²C bus that Blinka hands out, and nobody has to wait for a conversion."""
    import adafruit_bh1750
    import busio

    the_bus = Bus()
    monkeypatch.setattr(busio, "I2C", lambda scl, sda: the_bus)
    monkeypatch.setattr(adafruit_bh1750, "sleep", lambda _: None)
    return the_bus
