"""A photoresistor that charges a capacitor on one pin: the darker, the longer it takes.

gpiozero has a LightSensor for this circuit. It is not used: with lgpio it never sees the edge and says dark for ever
(gpiozero's issue 1135); elsewhere it reads dark when the processor is busy, and it repeats its last value or blocks for
ever once its thread has died. So the timing is done here, when asked, by looking at the pin: five charges, and of these
the second shortest, because whatever holds the processor up can only make a charge look longer.
"""

import time
from collections.abc import Callable
from typing import Any

from hardware.photocell import FULL_SUN_LX, charging_ohm, light_lx
from hardware.pins import failures, taking
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

SPACING_S = 5.0
CHARGES = 5
DRAIN_S = 0.05
"""Through 330 Ω a capacitor of 10 µF is empty after 5 × 3.3 ms."""
DARK_S = 0.5
"""Longer than this is dark: below 1 lx with 10 µF."""
SHORTEST_S = 0.0002
"""Shorter charges cannot be told apart: the light is at least what this says (over 50,000 lx with 10 µF)."""
SPIN_S = 0.005
NAP_SHARE = 0.02
"""The pin is watched without a pause for the first 5 ms, then with naps of 2 % of the time gone by."""


class Photoresistor:
    """A photoresistor from 3.3 V to a pin, and a capacitor from there to ground.

    Args:
        name: its name in the settings.
        pin: GPIO number.
        capacitor_uf: the capacitor in µF.
        spacing_s: seconds between two questions.
        clock_s: a clock of microseconds' resolution that never steps, seconds.
        sleep: waits for seconds.
    """

    def __init__(
        self,
        name: str,
        pin: int,
        capacitor_uf: float = 10.0,
        spacing_s: float = SPACING_S,
        clock_s: Callable[[], float] = time.perf_counter,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self.name = name
        self.spacing_s = spacing_s
        self._number = pin
        self._capacitor_uf = capacitor_uf
        self._clock_s = clock_s
        self._sleep = sleep
        self._device: Any = None

    def open(self) -> None:
        """Take the pin.

        Raises:
            SensorError: no driver, no pins, no permission, or the pin is taken.
        """
        with taking(self.name) as factory:
            from gpiozero import GPIODevice

            self._device = GPIODevice(self._number, pin_factory=factory)

    def sample(self) -> Sample | Miss:
        """Time the charges: a third of a second in good light, half a second in the dark, at most 3 s between."""
        if self._device is None:
            return Miss(self.name, Reason.NOT_OPEN)
        try:
            return self._light(self._device.pin)
        except failures():
            return Miss(self.name, Reason.NO_ANSWER)

    def _light(self, pin: Any) -> Sample:
        first_s = self._charge_s(pin)
        if first_s >= DARK_S:  # four more would tell no more
            return Sample(self.name, light_lx=0.0)
        charge_s = sorted([first_s, *(self._charge_s(pin) for _ in range(CHARGES - 1))])[1]
        lx = light_lx(charging_ohm(max(charge_s, SHORTEST_S), self._capacitor_uf))
        saturated = lx > FULL_SUN_LX or charge_s <= SHORTEST_S
        return Sample(self.name, light_lx=min(lx, FULL_SUN_LX), saturated=saturated)

    def _charge_s(self, pin: Any) -> float:
        """Empty the capacitor, let it charge, and return how long that took, at most about DARK_S."""
        pin.function = "output"
        pin.state = False
        self._sleep(DRAIN_S)
        begun_s = self._clock_s()
        pin.function = "input"
        while True:
            charged, elapsed_s = pin.state, self._clock_s() - begun_s
            if charged or elapsed_s >= DARK_S:
                return elapsed_s if charged else DARK_S
            if elapsed_s > SPIN_S:
                self._sleep(NAP_SHARE * elapsed_s)

    def close(self) -> None:
        """Give the pin back."""
        device, self._device = self._device, None
        if device is not None:
            device.close()
