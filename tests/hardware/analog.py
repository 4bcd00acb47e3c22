"""The analog parts on mock pins: a capacitor that charges, and a converter."""

from gpiozero.pins.mock import MockFactory, MockPin, MockSPIDevice

from hardware.photoresistor import Photoresistor
from tests.hardware.bench import Hand

LOOK_S = 1e-5


class ChargingPin(MockPin):
    """A pin with a capacitor that charges in `charges_s[0]` seconds, the next time in `charges_s[1]`, and so on."""

    hand: Hand
    charges_s: list[float]
    full_s = float("inf")

    def _set_function(self, value: str) -> None:
        super()._set_function(value)
        if value == "input" and hasattr(self, "charges_s"):
            self.full_s = self.hand() + (self.charges_s.pop(0) if len(self.charges_s) > 1 else self.charges_s[0])

    def _get_state(self) -> bool:
        self.hand.wait(LOOK_S)
        return self._function == "input" and self.hand() >= self.full_s


def a_photoresistor(
    pins: MockFactory, hand: Hand, *charges_s: float, name: str = "light", capacitor_uf: float = 10.0
) -> Photoresistor:
    """An open photoresistor on pin 27 whose capacitor takes these times to charge."""
    pin = pins.pin(27, pin_class=ChargingPin)
    pin.hand, pin.charges_s = hand, list(charges_s)
    sensor = Photoresistor(name, 27, capacitor_uf, clock_s=hand, sleep=hand.wait)
    sensor.open()
    return sensor


class Mcp3008Chip(MockSPIDevice):
    """MCP3008 data sheet, figure 6-1: after start, single and three channel bits come a null bit and ten bits."""

    counts: dict[int, int]

    def on_bit(self) -> None:
        """Answer once the command is whole; it is aligned so that the result ends the third byte."""
        command = self.rx_word()
        if self.rx_bit == 12 and command >> 3 == 0b11:
            self.tx_word(0, 2)
            self.tx_word(self.counts[command & 7], 10)
