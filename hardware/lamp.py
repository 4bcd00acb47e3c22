"""The status lamp: a steady colour for each level, and dips of its own in each so that colour is not needed."""

from dataclasses import dataclass
from typing import Any

from hardware.pins import taking

DARK = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class Look:
    """How one level looks.

    Args:
        colour: red, green and blue, each 0 or 1.
        on_s, off_s: for how long it is lit and then dips to dark, seconds; off_s 0 is no dip.
    """

    colour: tuple[int, int, int]
    on_s: float = 1.0
    off_s: float = 0.0


LOOKS = {
    "good": Look((0, 1, 0)),
    "watch": Look((1, 1, 0), on_s=2.6, off_s=0.4),
    "act": Look((1, 0, 0), on_s=0.7, off_s=0.2),
}
"""Green without a dip; yellow with one every three seconds; red with more than one a second. The colour stays for
whoever glances at it, and whoever cannot tell colours has the dips."""


class Lamp:
    """An RGB lamp on three pins.

    Args:
        red, green, blue: GPIO numbers.
        common_anode: the lamp's common leg is at 3.3 V, so that a low pin lights it.

    Raises:
        SensorError: no driver, no pins, no permission, or a pin is taken.
    """

    def __init__(self, red: int, green: int, blue: int, *, common_anode: bool = False) -> None:
        with taking("lamp") as factory:
            from gpiozero import RGBLED

            self._led: Any = RGBLED(
                red, green, blue, active_high=not common_anode, initial_value=DARK, pwm=False, pin_factory=factory
            )
        self._level = ""

    def show(self, level: str) -> None:
        """Show `good`, `watch` or `act`; anything else is dark."""
        if level == self._level:
            return
        self._level = level
        look = LOOKS.get(level, Look(DARK))
        if look.off_s:
            self._led.blink(on_time=look.on_s, off_time=look.off_s, on_color=look.colour)
        else:
            self._led.color = look.colour

    def close(self) -> None:
        """Dark, and the pins given back. May be called twice."""
        self._led.close()
