"""The push button: a press takes note of what is open, holding it puts that off until morning."""

import enum
from collections import deque
from typing import Any

from hardware.pins import taking

HOLD_S = 1.5
BOUNCE_S = 0.05
REMEMBERED = 8


class Press(enum.StrEnum):
    """What a person did with the button."""

    ACKNOWLEDGE = "acknowledge"
    LATER = "later"


class Button:
    """A button between one pin and ground.

    Args:
        pin: GPIO number.
        hold_s: how long it is held before that is no press any more, seconds.

    Raises:
        SensorError: no driver, no pins, no permission, or the pin is taken.
    """

    def __init__(self, pin: int, hold_s: float = HOLD_S) -> None:
        with taking("button") as factory:
            from gpiozero import Button as Switch

            self._switch: Any = Switch(pin, bounce_time=BOUNCE_S, hold_time=hold_s, pin_factory=factory)
        self._presses: deque[Press] = deque(maxlen=REMEMBERED)
        self._held = False
        self._switch.when_held = self._on_held
        self._switch.when_released = self._on_released

    def _on_held(self) -> None:
        self._held = True
        self._presses.append(Press.LATER)

    def _on_released(self) -> None:
        if not self._held:
            self._presses.append(Press.ACKNOWLEDGE)
        self._held = False

    @property
    def down(self) -> bool:
        """Whether it is held down now."""
        return bool(self._switch.is_pressed)

    def take(self) -> tuple[Press, ...]:
        """Return what was done with it since the last call."""
        taken = []
        while self._presses:
            taken.append(self._presses.popleft())
        return tuple(taken)

    def close(self) -> None:
        """Give the pin back. May be called twice."""
        self._switch.close()
