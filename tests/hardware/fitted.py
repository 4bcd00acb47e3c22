"""Every kind of sensor, fitted so that a test can unplug it and let time pass."""

import time
from array import array
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from gpiozero.pins.mock import MockFactory

from hardware.apart import apart
from hardware.bh1750 import Bh1750
from hardware.corrected import Corrected
from hardware.dht import DHT11, Dht
from hardware.ds18b20 import Ds18b20
from hardware.mcp3008 import Mcp3008Light
from hardware.rig import part_of
from hardware.veml7700 import Veml7700
from sim.faults import Faults, SensorPlan
from sim.jar import JarState
from sim.sensors import sensor_of
from station.domain.corrections import Point, humidity_correction
from station.ports import Sensor
from station.settings_file import load
from tests.builders import START
from tests.hardware.analog import Mcp3008Chip, a_photoresistor
from tests.hardware.bench import Hand
from tests.hardware.buses import Bh1750Chip, Bus, Veml7700Chip
from tests.hardware.frames import Wire, a_climate, a_frame
from tests.hardware.onewire import SERIAL, a_probe
from tests.sim.models import StillWorld


@dataclass(frozen=True)
class Fitted:
    """A sensor called `air`, and what can be done to it.

    Args:
        sensor: not yet open.
        measures: which of temp_c, rh_pct, light_lx it gives.
        wait: lets seconds pass.
        unplug, plug_in: what its name says; None if it cannot be told from darkness or is not possible.
    """

    sensor: Sensor
    measures: frozenset[str]
    wait: Callable[[float], None]
    unplug: Callable[[], object] | None = None
    plug_in: Callable[[], object] | None = None


@dataclass(frozen=True)
class Workshop:
    """What sensors are fitted with."""

    hand: Hand
    wire: Wire
    bus: Bus
    pins: MockFactory
    folder: Path


CLIMATE = frozenset({"temp_c", "rh_pct"})
LIGHT = frozenset({"light_lx"})
PROBE = frozenset({"temp_c"})


def _on_the_wire(shop: Workshop, sensor: Sensor, good: "array[int]") -> Fitted:
    def carry(train: "array[int]") -> Callable[[], None]:
        return lambda: setattr(shop.wire, "trains", [train])

    carry(good)()
    return Fitted(sensor, CLIMATE, shop.hand.wait, carry(good[:1]), carry(good))


def dht22(shop: Workshop) -> Fitted:
    """The real driver over scripted pulses."""
    return _on_the_wire(shop, Dht("air", 17, monotonic_s=shop.hand), a_climate(65.2, 35.1))


def dht11(shop: Workshop) -> Fitted:
    """The real driver over scripted pulses."""
    return _on_the_wire(shop, Dht("air", 17, DHT11, monotonic_s=shop.hand), a_frame(0x35, 0, 0x18, 0, 0x4D))


def corrected_dht22(shop: Workshop) -> Fitted:
    """The same with a correction."""
    correction = humidity_correction("air", [Point(69.2, 65.2, "a salt", START)], START)
    fitted = dht22(shop)
    return replace(fitted, sensor=Corrected(fitted.sensor, lambda: (correction,)))


def ds18b20(shop: Workshop) -> Fitted:
    """Files as the kernel writes them."""
    folder = a_probe(shop.folder)
    away = shop.folder / "unplugged"
    sensor = Ds18b20("air", SERIAL, devices=shop.folder)
    return Fitted(sensor, PROBE, shop.hand.wait, lambda: folder.rename(away), lambda: away.rename(folder))


def _on_the_bus(shop: Workshop, sensor: Sensor, address: int, chip: Bh1750Chip | Veml7700Chip) -> Fitted:
    shop.bus.chips[address] = chip
    return Fitted(
        sensor,
        LIGHT,
        shop.hand.wait,
        lambda: shop.bus.chips.pop(address),
        lambda: shop.bus.chips.update({address: chip}),
    )


def bh1750(shop: Workshop) -> Fitted:
    """The real driver over a bus of bytes."""
    return _on_the_bus(shop, Bh1750("air"), 0x23, Bh1750Chip(bytes([0x83, 0x90])))


def veml7700(shop: Workshop) -> Fitted:
    """The real driver over a bus of bytes."""
    return _on_the_bus(shop, Veml7700("air"), 0x10, Veml7700Chip(930))


def mcp3008(shop: Workshop) -> Fitted:
    """gpiozero over mock SPI pins."""
    Mcp3008Chip(11, 10, 9, 8, pin_factory=shop.pins).counts = {0: 512}
    return Fitted(Mcp3008Light("air"), LIGHT, shop.hand.wait)


def photoresistor(shop: Workshop) -> Fitted:
    """gpiozero over a mock pin that charges."""
    sensor = a_photoresistor(shop.pins, shop.hand, 0.004, name="air")
    sensor.close()
    return Fitted(sensor, LIGHT, shop.hand.wait)


def _simulated(shop: Workshop, kind: str, measures: frozenset[str]) -> Fitted:
    begun_s = shop.hand()
    world = StillWorld(jars=(JarState("jar", True, 21.0, 0.1, 0.1, 0.1),))
    plan = SensorPlan("air", kind, jar="jar" if kind == "jar" else "")
    sensor = sensor_of(plan, world, lambda: shop.hand() - begun_s, 1)

    def with_faults(faults: Faults) -> Callable[[], None]:
        return lambda: setattr(sensor, "_faults", faults)

    return Fitted(sensor, measures, shop.hand.wait, with_faults(Faults(missed=1.0)), with_faults(Faults()))


def simulated_climate(shop: Workshop) -> Fitted:
    """The simulator's."""
    return _simulated(shop, "climate", CLIMATE)


def simulated_light(shop: Workshop) -> Fitted:
    """The simulator's."""
    return _simulated(shop, "light", LIGHT)


def simulated_probe(shop: Workshop) -> Fitted:
    """The simulator's."""
    return _simulated(shop, "jar", PROBE)


def real(kind: str) -> Callable[[Workshop], Fitted]:
    """A part as it is wired to this Pi, by the settings of this Pi."""

    def fit(shop: Workshop) -> Fitted:
        one = next((sensor for sensor in load().sensors if sensor.part == kind), None)
        if one is None:
            pytest.skip(f"no {kind} in the settings of this Pi")
        sensor = apart(replace(part_of(one), name="air"))
        measures = CLIMATE if kind.startswith("dht") else PROBE if kind == "ds18b20" else LIGHT
        return Fitted(sensor, measures, time.sleep)

    return fit
