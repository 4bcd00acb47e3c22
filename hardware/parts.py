"""The parts that can be fitted, and the adapter of each."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from station.ports import Sensor


@dataclass(frozen=True, slots=True)
class Part:
    """One part as it is wired: plain values, so that a reader process can be told of it in one line.

    Args:
        name: its name in the settings.
        kind: which part: `dht22`, `dht11`, `photoresistor`, `mcp3008`, `bh1750`, `veml7700` or `ds18b20`.
        pin: GPIO number, where the part hangs on a pin of its own.
        channel: of an MCP3008.
        address: on the I²C bus; 0 is the part's usual one.
        serial: of a DS18B20; empty for the only one.
        capacitor_uf: beside a photoresistor, µF.
        resistor_ohm: below a photoresistor on an MCP3008, Ω.
        spacing_s: least seconds between two questions; 0 is the part's own.
    """

    name: str
    kind: str
    pin: int = 0
    channel: int = 0
    address: int = 0
    serial: str = ""
    capacitor_uf: float = 10.0
    resistor_ohm: float = 1000.0
    spacing_s: float = 0.0


def adapter_of(part: Part) -> "Sensor":
    """Return the part's adapter, not yet open; only its own module is imported."""
    return _ADAPTERS[part.kind](part)


def _dht22(part: Part) -> "Sensor":
    from hardware.dht import DHT22, Dht

    return Dht(part.name, part.pin, DHT22, part.spacing_s)


def _dht11(part: Part) -> "Sensor":
    from hardware.dht import DHT11, Dht

    return Dht(part.name, part.pin, DHT11, part.spacing_s)


def _photoresistor(part: Part) -> "Sensor":
    from hardware.photoresistor import SPACING_S, Photoresistor

    return Photoresistor(part.name, part.pin, part.capacitor_uf, part.spacing_s or SPACING_S)


def _mcp3008(part: Part) -> "Sensor":
    from hardware.mcp3008 import SPACING_S, Mcp3008Light

    return Mcp3008Light(part.name, part.channel, part.resistor_ohm, part.spacing_s or SPACING_S)


def _bh1750(part: Part) -> "Sensor":
    from hardware.bh1750 import ADDRESS, SPACING_S, Bh1750

    return Bh1750(part.name, part.address or ADDRESS, part.spacing_s or SPACING_S)


def _veml7700(part: Part) -> "Sensor":
    from hardware.veml7700 import ADDRESS, SPACING_S, Veml7700

    return Veml7700(part.name, part.address or ADDRESS, part.spacing_s or SPACING_S)


def _ds18b20(part: Part) -> "Sensor":
    from hardware.ds18b20 import SPACING_S, Ds18b20

    return Ds18b20(part.name, part.serial or None, part.spacing_s or SPACING_S)


_ADAPTERS: dict[str, Callable[[Part], "Sensor"]] = {
    "dht22": _dht22,
    "dht11": _dht11,
    "photoresistor": _photoresistor,
    "mcp3008": _mcp3008,
    "bh1750": _bh1750,
    "veml7700": _veml7700,
    "ds18b20": _ds18b20,
}
