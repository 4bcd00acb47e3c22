"""A buzzer that sounds once when something must be done, and never in quiet hours."""

from typing import Any

from hardware.pins import taking

BEEPS = 3
BEEP_S = 0.15


class Buzzer:
    """An active buzzer on one pin.

    Args:
        pin: GPIO number.

    Raises:
        SensorError: no driver, no pins, no permission, or the pin is taken.
    """

    def __init__(self, pin: int) -> None:
        with taking("buzzer") as factory:
            from gpiozero import Buzzer as Sounder

            self._sounder: Any = Sounder(pin, pin_factory=factory)
        self._level = ""
        self._due = False

    def show(self, level: str, *, quiet: bool = False) -> None:
        """Sound when the level has become `act`; if that was in quiet hours and still holds, when they end."""
        if level != self._level:
            self._due = level == "act"
        self._level = level
        if self._due and not quiet:
            self._due = False
            self._sounder.beep(on_time=BEEP_S, off_time=BEEP_S, n=BEEPS)

    def chirp(self) -> None:
        """Sound once, whatever the level."""
        self._sounder.beep(on_time=BEEP_S, off_time=BEEP_S, n=1)

    def close(self) -> None:
        """Silent, and the pin given back. May be called twice."""
        self._sounder.close()
