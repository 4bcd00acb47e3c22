"""From the settings to the parts: the Pi's side of the station's rig."""

from collections import defaultdict
from collections.abc import Callable, Iterator

from hardware.apart import apart
from hardware.button import Button
from hardware.buzzer import Buzzer
from hardware.corrected import Corrected, Corrections, none
from hardware.lamp import Lamp
from hardware.parts import Part
from hardware.signals import Signals
from station.config import SensorSettings, Settings
from station.errors import SettingsError
from station.ports import Clock, Publisher, Rig, Sensor, Signal

USUAL_PIN = {"dht22": 17, "dht11": 17, "photoresistor": 27}
"""Where hardware/README.md wires a part whose settings name no pin."""
BUS_PINS = {"the I²C bus": (2, 3), "the SPI bus": (8, 9, 10, 11), "1-Wire": (4,)}
"""Pins that a bus takes; parts on the same bus share them."""
BUS_OF = {"bh1750": "the I²C bus", "veml7700": "the I²C bus", "mcp3008": "the SPI bus", "ds18b20": "1-Wire"}
"""The bus that a part hangs on, if it has no pin of its own."""


def rig_of(
    settings: Settings,
    clock: Clock,
    publisher: Publisher | None = None,
    corrections: Corrections = none,
    quiet: Callable[[], bool] = lambda: False,
) -> Rig:
    """Return the rig of a Pi.

    Args:
        settings: the settings.
        clock: the system's.
        publisher: the way to the broker, or None.
        corrections: returns the corrections that hold now; asked at every sample.
        quiet: whether it is quiet hours now; the buzzer asks.

    Raises:
        SettingsError: two parts share a pin, or the lamp has not all of its three pins.
        SensorError: lamp or buzzer cannot be opened.
    """
    return Rig(clock, sensors_of(settings, corrections), publisher, signal_of(settings, quiet))


def sensors_of(settings: Settings, corrections: Corrections = none) -> tuple[Sensor, ...]:
    """Return the sensors that the settings name, not yet open, each read in a process of its own and corrected.

    Args:
        settings: the settings.
        corrections: returns the corrections that hold now; asked at every sample.

    Raises:
        SettingsError: two parts share a pin.
    """
    check_pins(settings)
    return tuple(Corrected(apart(part_of(one)), corrections) for one in settings.sensors)


def signal_of(settings: Settings, quiet: Callable[[], bool] = lambda: False) -> Signal:
    """Return lamp and buzzer as the settings name them; both are open.

    Args:
        settings: the settings.
        quiet: whether it is quiet hours now; the buzzer asks.

    Raises:
        SettingsError: two parts share a pin, or the lamp has not all of its three pins.
        SensorError: no driver, no pins, no permission.
    """
    check_pins(settings)
    return Signals(lamp_of(settings), buzzer_of(settings), quiet)


def buzzer_of(settings: Settings) -> Buzzer | None:
    """Return the buzzer, open, or None if the settings name none.

    Raises:
        SensorError: no driver, no pins, no permission, or the pin is taken.
    """
    pin = settings.signal.buzzer_pin
    return None if pin is None else Buzzer(pin)


def lamp_of(settings: Settings) -> Lamp | None:
    """Return the lamp, open, or None if the settings name none.

    Raises:
        SettingsError: not all of its three pins are named.
        SensorError: no driver, no pins, no permission, or a pin is taken.
    """
    wired = settings.signal
    red, green, blue = wired.red_pin, wired.green_pin, wired.blue_pin
    if red is None and green is None and blue is None:
        return None
    if red is None or green is None or blue is None:
        raise SettingsError("signal: the lamp needs red_pin, green_pin and blue_pin", "Give all three, or none.")
    return Lamp(red, green, blue, common_anode=wired.common_anode)


def button_of(settings: Settings) -> Button | None:
    """Return the button, open, or None if the settings name none.

    Raises:
        SettingsError: two parts share a pin.
        SensorError: no driver, no pins, no permission.
    """
    check_pins(settings)
    return None if settings.signal.button_pin is None else Button(settings.signal.button_pin)


def part_of(one: SensorSettings) -> Part:
    """Return a sensor's settings as a part, with what they leave out filled in."""
    return Part(
        name=one.name,
        kind=one.part,
        pin=one.pin if one.pin is not None else USUAL_PIN.get(one.part, 0),
        channel=one.channel or 0,
        address=one.address or 0,
        serial=one.serial or "",
        capacitor_uf=one.capacitor_uf,
        resistor_ohm=one.resistor_ohm,
        spacing_s=one.spacing_s or 0.0,
    )


def check_pins(settings: Settings) -> None:
    """See that no two parts share a pin.

    Raises:
        SettingsError: two do; the message names both.
    """
    holders: dict[int, list[str]] = defaultdict(list)
    for pin, holder in _claims(settings):
        if holder not in holders[pin]:
            holders[pin].append(holder)
    for pin, names in sorted(holders.items()):
        if len(names) > 1:
            raise SettingsError(f"GPIO {pin} is given to {' and '.join(names)}", "Give each part a pin of its own.")


def _claims(settings: Settings) -> Iterator[tuple[int, str]]:
    for one in settings.sensors:
        if one.part in USUAL_PIN:
            yield part_of(one).pin, one.name
        if one.part in BUS_OF:
            bus = BUS_OF[one.part]
            yield from ((pin, bus) for pin in BUS_PINS[bus])
    for name in ("red_pin", "green_pin", "blue_pin", "buzzer_pin", "button_pin"):
        pin = getattr(settings.signal, name)
        if pin is not None:
            yield pin, f"signal.{name}"
