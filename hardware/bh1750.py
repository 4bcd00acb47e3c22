"""BH1750: illuminance over I²C, by way of adafruit_bh1750."""

from typing import Any

from hardware.lux import LuxPart
from hardware.opening import reason_of
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

ADDRESS = 0x23
"""With ADDR to ground or open; 0x5C with ADDR to 3.3 V (BH1750FVI data sheet)."""
SPACING_S = 2.0
FULL_SCALE_LX = 65535 / 1.2
"""A count of 65,535 in H-resolution mode is full scale, not a measurement (BH1750FVI data sheet: lx = count / 1.2)."""


class Bh1750(LuxPart):
    """A BH1750 on the I²C bus, in the mode of 1 lx steps that reaches furthest.

    Args:
        name: its name in the settings.
        address: 0x23 or 0x5C.
        spacing_s: seconds between two questions.
    """

    def __init__(self, name: str, address: int = ADDRESS, spacing_s: float = SPACING_S) -> None:
        super().__init__(name, address, spacing_s)

    def _load(self) -> None:
        import adafruit_bh1750  # noqa: F401

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
