"""BH1750: illuminance over I²C, by way of adafruit_bh1750."""

from typing import Any

from hardware.blinka import I2C_ON, i2c_bus
from hardware.opening import opening, reason_of
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

ADDRESS = 0x23
"""With ADDR to ground or open; 0x5C with ADDR to 3.3 V (BH1750FVI data sheet)."""
SPACING_S = 2.0
FULL_SCALE_LX = 65535 / 1.2
"""A count of 65,535 in H-resolution mode is full scale, not a measurement (BH1750FVI data sheet: lx = count / 1.2)."""


class Bh1750:
    """A BH1750 on the I²C bus, in the mode of 1 lx steps that reaches furthest.

    Args:
        name: its name in the settings.
        address: 0x23 or 0x5C.
        spacing_s: seconds between two questions.
    """

    def __init__(self, name: str, address: int = ADDRESS, spacing_s: float = SPACING_S) -> None:
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
            import adafruit_bh1750  # noqa: F401 - so that a missing driver is said now

            self._bus = i2c_bus(self.name)

    def sample(self) -> Sample | Miss:
        """Read the latest conversion; a part that lost its supply is set up afresh."""
        if self._bus is None:
            return Miss(self.name, Reason.NOT_OPEN)
        try:
            self._chip = self._chip or self._fresh()
            light_lx = float(self._chip.lux) or self._asked_again()
        except ValueError:  # the driver's word for: nobody at this address
            return Miss(self.name, Reason.NO_ANSWER)
        except OSError as error:
            self._chip = None
            return Miss(self.name, reason_of(error))
        return Sample(self.name, light_lx=light_lx, saturated=light_lx >= FULL_SCALE_LX)

    def _fresh(self) -> Any:
        from adafruit_bh1750 import BH1750, Resolution

        chip = BH1750(self._bus, self._address)
        chip.resolution = Resolution.MID  # the driver's default halves the range, and sun on a shelf is beyond it
        return chip

    def _asked_again(self) -> float:
        """Send the mode once more and read: after a short loss of supply the part is off and says 0 for ever."""
        from adafruit_bh1750 import Resolution

        self._chip.resolution = Resolution.MID
        return float(self._chip.lux)

    def close(self) -> None:
        """Give the bus back."""
        bus, self._bus, self._chip = self._bus, None, None
        if bus is not None:
            bus.deinit()
