"""A photoresistor in a divider, measured by an MCP3008 converter over SPI, by way of gpiozero."""

from typing import Any

from hardware.photocell import FULL_SUN_LX, divider_ohm, light_lx
from hardware.pins import failures, taking
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

SPACING_S = 2.0
FULL_SCALE = 1023
SPI_ON = "Switch SPI on: sudo raspi-config nonint do_spi 0; then restart the Pi."


class Mcp3008Light:
    """A photoresistor from 3.3 V to a channel, and a fixed resistor from there to ground.

    Args:
        name: its name in the settings.
        channel: 0 to 7.
        resistor_ohm: the fixed resistor in Ω.
        spacing_s: seconds between two questions.
        spi: how the chip is reached, for gpiozero; the default is the Pi's first SPI port.
    """

    def __init__(
        self,
        name: str,
        channel: int = 0,
        resistor_ohm: float = 1000.0,
        spacing_s: float = SPACING_S,
        **spi: int,
    ) -> None:
        self.name = name
        self.spacing_s = spacing_s
        self._channel = channel
        self._resistor_ohm = resistor_ohm
        self._spi = spi
        self._chip: Any = None

    def open(self) -> None:
        """Take the channel.

        Raises:
            SensorError: no driver, no SPI, no permission.
        """
        with taking(self.name, "SPI", SPI_ON) as factory:
            from gpiozero import MCP3008

            self._chip = MCP3008(channel=self._channel, pin_factory=factory, **self._spi)

    def sample(self) -> Sample | Miss:
        """Convert once."""
        if self._chip is None:
            return Miss(self.name, Reason.NOT_OPEN)
        try:
            count = int(self._chip.raw_value)
        except failures():
            return Miss(self.name, Reason.NO_ANSWER)
        if count <= 0:
            return Sample(self.name, light_lx=0.0)
        share = min(count, FULL_SCALE - 1) / FULL_SCALE
        lx = light_lx(divider_ohm(share, self._resistor_ohm))
        saturated = lx > FULL_SUN_LX or count >= FULL_SCALE - 1
        return Sample(self.name, light_lx=min(lx, FULL_SUN_LX), saturated=saturated)

    def close(self) -> None:
        """Give the channel back."""
        chip, self._chip = self._chip, None
        if chip is not None:
            chip.close()
