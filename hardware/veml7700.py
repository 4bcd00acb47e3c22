"""VEML7700: illuminance over I²C, by way of adafruit_veml7700."""

from typing import Any

from hardware.lux import LuxPart
from hardware.opening import reason_of
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

ADDRESS = 0x10
SPACING_S = 2.0
FULL_SCALE_LX = 120_000.0
"""The data sheet measures up to about 120,000 lx; the line that straightens it is not drawn further."""
FULL_COUNT = 65535


class Veml7700(LuxPart):
    """A VEML7700 on the I²C bus, at its lowest gain: 0.5 lx steps, and direct sun is still a measurement.

    The driver's own automatic gain takes up to 4 s in the dark, so it is not used.

    Args:
        name: its name in the settings.
        address: the part has only 0x10.
        spacing_s: seconds between two questions.
    """

    def __init__(self, name: str, address: int = ADDRESS, spacing_s: float = SPACING_S) -> None:
        super().__init__(name, address, spacing_s)

    def _load(self) -> None:
        import adafruit_veml7700  # noqa: F401

    def sample(self) -> Sample | Miss:
        """Read the latest conversion; a part that lost its supply is set up afresh."""
        if self._bus is None:
            return Miss(self.name, Reason.NOT_OPEN)
        try:
            if self._chip is None or self._chip.light_shutdown:  # it is off after a short loss of supply
                self._chip = self._fresh()
                return Miss(self.name, Reason.STARTING)  # its first conversion is not done yet
            return self._light()
        except (ValueError, RuntimeError):  # the driver's words for: nobody at this address
            return Miss(self.name, Reason.NO_ANSWER)
        except OSError as error:
            self._chip = None
            return Miss(self.name, reason_of(error))

    def _light(self) -> Sample:
        count = int(self._chip.light)
        light_lx = float(self._chip.compute_lux(count, use_correction=True))
        saturated = light_lx > FULL_SCALE_LX or count >= FULL_COUNT
        return Sample(self.name, light_lx=min(light_lx, FULL_SCALE_LX), saturated=saturated)

    def _fresh(self) -> Any:
        from adafruit_veml7700 import VEML7700

        chip = VEML7700(self._bus, self._address)
        chip.light_gain = chip.ALS_GAIN_1_8
        chip.light_integration_time = chip.ALS_100MS
        return chip
