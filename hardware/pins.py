"""The door to gpiozero: which pins it uses, never chosen silently, and what its errors mean."""

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from hardware.opening import PINS_ON, opening
from station.errors import SensorError

CHIPS = Path("/dev")
OWN_PIN = "Give each part a pin of its own, as in hardware/README.md, and stop other programs that use it."


@contextmanager
def taking(name: str, interface: str = "the pins", switch_on: str = PINS_ON) -> Iterator[Any]:
    """Yield gpiozero's pin factory to take pins from; what goes wrong becomes a SensorError.

    Args:
        name: the part's name in the settings.
        interface: what it is reached by.
        switch_on: what to do when this machine has it, but not switched on.

    Raises:
        SensorError: no driver, no pins, no permission, or the pin is taken.
    """
    with opening(name, interface, switch_on):
        factory = _factory()
        try:
            yield factory
        except _refusals() as error:
            raise SensorError(f"{name}: {error}", OWN_PIN) from error


def _factory() -> Any:
    """Return the factory that is set (tests set a mock), else lgpio and nothing else."""
    from gpiozero import Device

    if Device.pin_factory is None:
        _check_chips()
        # lgpio leaves a pipe in its working directory; the unit file names the run-time folder.
        os.environ.setdefault("LG_WD", tempfile.gettempdir())
        from gpiozero.pins.lgpio import LGPIOFactory

        Device.pin_factory = LGPIOFactory()
    return Device.pin_factory


def _check_chips() -> None:
    """Say what lgpio would say only in a text of its own."""
    chips = sorted(CHIPS.glob("gpiochip*"))
    if not chips:
        raise FileNotFoundError("no /dev/gpiochip*")
    if not any(os.access(chip, os.R_OK | os.W_OK) for chip in chips):
        raise PermissionError("no access to /dev/gpiochip*")


def _refusals() -> tuple[type[Exception], ...]:
    from gpiozero.exc import GPIOZeroError

    return (GPIOZeroError, *_lgpio_errors())


def failures() -> tuple[type[Exception], ...]:
    """Return what a read through gpiozero may raise."""
    return (OSError, *_refusals())


def _lgpio_errors() -> tuple[type[Exception], ...]:
    """lgpio raises a class of its own; it is there only on a Pi."""
    lgpio = sys.modules.get("lgpio")
    return () if lgpio is None else (lgpio.error,)
