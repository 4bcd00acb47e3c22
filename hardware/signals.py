"""The station's signal on a Pi: a lamp, a buzzer, both or neither."""

from collections.abc import Callable

from hardware.buzzer import Buzzer
from hardware.lamp import Lamp


class Signals:
    """Lamp and buzzer behind the station's signal port.

    Args:
        lamp: or None.
        buzzer: or None.
        quiet: whether it is quiet hours now.
    """

    def __init__(self, lamp: Lamp | None, buzzer: Buzzer | None, quiet: Callable[[], bool]) -> None:
        self._lamp = lamp
        self._buzzer = buzzer
        self._quiet = quiet

    def show(self, level: str) -> None:
        """Show `good`, `watch` or `act`. The lamp ignores repeats; the buzzer waits with them for the quiet to end."""
        if self._lamp is not None:
            self._lamp.show(level)
        if self._buzzer is not None:
            self._buzzer.show(level, quiet=self._quiet())

    def close(self) -> None:
        """Dark and silent. May be called twice."""
        for part in (self._lamp, self._buzzer):
            if part is not None:
                part.close()
