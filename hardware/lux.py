"""What lux parts on the I²C bus share: how they are opened and closed. Each has a file of its own beside this one."""

from abc import ABC, abstractmethod
from typing import Any

from hardware.blinka import I2C_ON, i2c_bus
from hardware.opening import opening


class LuxPart(ABC):
    """A lux part on the I²C bus.

    Args:
        name: its name in the settings.
        address: its address on the bus.
        spacing_s: seconds between two questions.
    """

    def __init__(self, name: str, address: int, spacing_s: float) -> None:
        self.name = name
        self.spacing_s = spacing_s
        self._address = address
        self._bus: Any = None
        self._chip: Any = None

    def open(self) -> None:
        """Load the driver and take the bus. The part may be plugged in later.

        Raises:
            SensorError: no driver, no bus, no permission.
        """
        with opening(self.name, "I²C", I2C_ON):
            self._load()
            self._bus = i2c_bus(self.name)

    @abstractmethod
    def _load(self) -> None:
        """Import the driver, so that a missing one is said when the part is opened."""

    def close(self) -> None:
        """Give the bus back."""
        bus, self._bus, self._chip = self._bus, None, None
        if bus is not None:
            bus.deinit()
