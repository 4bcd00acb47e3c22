"""Pulse trains as a DHT sends them: data-sheet frames for the real driver."""

from array import array
from collections.abc import Iterable

LOW_US = 50
ZERO_US = 27
ONE_US = 70
"""AM2302 data sheet: 50 µs low before each bit, then 26 to 28 µs high for a 0 and 70 µs for a 1."""


def a_frame(*data: int, one_us: int = ONE_US) -> "array[int]":
    """The 81 pulses of five bytes."""
    pulses = array("H")
    for byte in data:
        for bit in range(7, -1, -1):
            pulses.extend((LOW_US, one_us if byte >> bit & 1 else ZERO_US))
    pulses.append(LOW_US)
    return pulses


def summed(*data: int) -> tuple[int, ...]:
    """Four bytes and their check sum."""
    return (*data, sum(data) & 0xFF)


def a_climate(rh_pct: float, temp_c: float) -> "array[int]":
    """The frame of a DHT22 that measures this, below zero with the sign bit."""
    rh, temp = round(rh_pct * 10), round(abs(temp_c) * 10) | (0x8000 if temp_c < 0 else 0)
    return a_frame(*summed(rh >> 8, rh & 0xFF, temp >> 8, temp & 0xFF))


class Wire:
    """What comes down the wire, read by read; the last one goes on."""

    def __init__(self, trains: "Iterable[array[int] | OSError]") -> None:
        self.trains = list(trains)
        self.reads = 0

    def read(self) -> "array[int]":
        """The pulses of the next read."""
        self.reads += 1
        train = self.trains.pop(0) if len(self.trains) > 1 else self.trains[0]
        if isinstance(train, OSError):
            raise train
        return train
