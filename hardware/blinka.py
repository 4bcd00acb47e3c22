"""The door to the CircuitPython drivers: pins and the I²C bus by way of Blinka."""

import os
from typing import Any

from hardware.opening import PINS_ON
from station.errors import SensorError

I2C_ON = "Switch I²C on: sudo raspi-config nonint do_i2c 0; then restart the Pi."


def prepare() -> None:
    """Keep Blinka from offering to run pip on a terminal when it misses a library."""
    os.environ.setdefault("BLINKA_SKIP_DEPENDENCY_CHECK", "1")


def board_pin(name: str, pin: int) -> Any:
    """Return Blinka's object for a GPIO number.

    Raises:
        SensorError: this board has no such pin.
    """
    prepare()
    import board

    found = getattr(board, f"D{pin}", None)
    if found is None:
        raise SensorError(f"{name}: pin = {pin}: this machine has no such pin", PINS_ON)
    return found


def i2c_bus(name: str) -> Any:
    """Return the I²C bus on GPIO 2 and 3.

    Raises:
        SensorError: this machine has none, or it is switched off.
    """
    prepare()
    import board
    import busio

    try:
        return busio.I2C(board.SCL, board.SDA)
    except (ValueError, ImportError) as error:  # Blinka's words for: no such bus, no such board
        raise SensorError(f"{name}: there is no I²C bus on this machine", I2C_ON) from error
