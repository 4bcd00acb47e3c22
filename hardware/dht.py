"""DHT22 and DHT11: temperature and humidity over one wire, by way of adafruit_dht.

The driver has traps, each closed here:

* Within 2 s of a failed read it hands out the old value without a word; asked more than 2 s apart, temperature and
  humidity come from two frames. So every sample makes a fresh device, measures once, and takes both from that frame.
* A frame of zeros (short circuit, lost first pulse, weak pull-up) has a valid check sum, and the temperature has no
  range check. Both are refused here.
* Its pulse helper replaces the SIGTERM handler, can spin a core and can block its reader for ever: `use_pulseio=False`.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from hardware.blinka import board_pin
from hardware.opening import PINS_ON, opening, reason_of
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

SPACING_S = 2.1
"""The data sheet wants 2 s between two reads; the driver compares with `>`."""
ONE_FRAME_S = 1.9
"""From the start of the read to the last property: longer, and the driver would have read a second frame."""


@dataclass(frozen=True, slots=True)
class Model:
    """What a part can measure, by its data sheet.

    Args:
        driver: the class in adafruit_dht.
        low_c, high_c: temperature range in °C.
        high_pct: highest humidity in %RH.
    """

    driver: str
    low_c: float
    high_c: float
    high_pct: float


DHT22 = Model("DHT22", -40.0, 80.0, 100.0)
"""AM2302 data sheet."""
DHT11 = Model("DHT11", 0.0, 60.0, 100.0)
"""DHT11 data sheet: 0 to 50 °C, 20 to 90 %RH; newer ones say 0 to 60 °C and 5 to 95 %RH."""


class Dht:
    """A DHT22 or DHT11 on one pin.

    Args:
        name: its name in the settings.
        pin: GPIO number.
        model: DHT22 or DHT11.
        spacing_s: seconds between two reads; at least 2.1.
        monotonic_s: a clock that never steps, seconds.
    """

    def __init__(
        self,
        name: str,
        pin: int,
        model: Model = DHT22,
        spacing_s: float = SPACING_S,
        monotonic_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self.name = name
        self.spacing_s = max(SPACING_S, spacing_s)
        self._pin = pin
        self._model = model
        self._monotonic_s = monotonic_s
        self._make: Callable[[], Any] | None = None
        self._asked_s = float("-inf")

    def open(self) -> None:
        """Load the driver and find the pin.

        Raises:
            SensorError: no driver or no such pin.
        """
        with opening(self.name, "the pins", PINS_ON):
            pin = board_pin(self.name, self._pin)
            import adafruit_dht

            driver = getattr(adafruit_dht, self._model.driver)
        self._make = lambda: driver(pin, use_pulseio=False)

    def sample(self) -> Sample | Miss:
        """Read one frame."""
        if self._make is None:
            return Miss(self.name, Reason.NOT_OPEN)
        begun_s = self._monotonic_s()
        if begun_s - self._asked_s < SPACING_S:
            return Miss(self.name, Reason.TOO_SOON)
        self._asked_s = begun_s
        return self._frame(self._make(), begun_s)

    def _frame(self, device: Any, begun_s: float) -> Sample | Miss:
        try:
            device.measure()
            temp_c, rh_pct = device.temperature, device.humidity
        except RuntimeError:  # all that the driver raises on purpose, told apart by text only
            return Miss(self.name, Reason.BAD_FRAME)
        except OSError as error:
            return Miss(self.name, reason_of(error))
        if self._monotonic_s() - begun_s > ONE_FRAME_S:
            return Miss(self.name, Reason.TOO_SLOW)
        return self._checked(temp_c, rh_pct)

    def _checked(self, temp_c: float | None, rh_pct: float | None) -> Sample | Miss:
        if temp_c is None or rh_pct is None:
            return Miss(self.name, Reason.BAD_FRAME)
        if temp_c == 0.0 and rh_pct == 0.0:
            return Miss(self.name, Reason.EMPTY_FRAME)
        temp_c = below_zero_c(temp_c)
        if not self._model.low_c <= temp_c <= self._model.high_c or not 0.0 < rh_pct <= self._model.high_pct:
            return Miss(self.name, Reason.OUT_OF_RANGE)
        return Sample(self.name, temp_c=float(temp_c), rh_pct=float(rh_pct))

    def close(self) -> None:
        """Let go of the driver; the pin is held only while a frame is read."""
        self._make = None


def below_zero_c(temp_c: float) -> float:
    """Return the temperature of a part that counts below zero in two's complement, °C.

    The data sheet has a sign bit and a magnitude, and the driver reads that; some parts send two's complement instead,
    and -10.1 °C arrives as -3,266.7 °C.
    """
    return round(-3276.8 - temp_c, 1) if temp_c < -3000.0 else temp_c
