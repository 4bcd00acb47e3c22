"""What the station measures: samples, misses, and the minute's reading made of them."""

import enum
from dataclasses import dataclass
from datetime import datetime

from station.errors import JarsideError


class Mark(enum.IntFlag):
    """What is remarkable about a reading. The numbers are stored: never renumber."""

    NONE = 0
    SATURATED = 1
    """The light was at the sensor's full scale: `light_lx` is a lower bound."""
    SUNLIT = 2
    """Direct sun fell on the sensor: its temperature and humidity are not the air's."""
    STUCK = 4
    """A value has not moved for so long that the sensor is doubted; the value was dropped."""
    DOUBTED = 8
    """At least one sample of the minute was dropped by the quality checks."""
    IMPORTED = 16
    """The reading came from a log file, not from this station's sensors."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One raw answer of one sensor; a quantity that the sensor does not measure is None.

    Args:
        sensor: the sensor's name in the settings.
        temp_c: temperature in °C.
        rh_pct: relative humidity in %, 0 to 100.
        light_lx: illuminance in lx.
        saturated: the light was at full scale, so that `light_lx` is only a lower bound.
    """

    sensor: str
    temp_c: float | None = None
    rh_pct: float | None = None
    light_lx: float | None = None
    saturated: bool = False


@dataclass(frozen=True, slots=True)
class Miss:
    """A sensor was asked and gave no usable answer; `reason` is a few plain words."""

    sensor: str
    reason: str


@dataclass(frozen=True, slots=True)
class ProbeReading:
    """The minute's temperature from a probe that is fixed to a jar."""

    probe: str
    temp_c: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One minute's aggregated measurement (or one row of a log file). None means not measured.

    A reading stands for the `span_s` seconds that end at `measured_at`.

    Args:
        measured_at: aware UTC time at the end of the span, as well as it is known.
        boot_id: which run of the machine took it.
        boot_s: seconds since that boot; never steps, so durations come from here.
        temp_c, rh_pct, light_lx: the shelf's values after the quality checks.
        good, missed: how many samples were used, and how many were missed or dropped.
        trusted: whether the clock was known to be right when it was taken.
        span_s: how much time it stands for.
        marks: what is remarkable about it.
        probes: temperatures of probes on jars.

    Raises:
        JarsideError: `measured_at` is naive.
    """

    measured_at: datetime
    boot_id: str
    boot_s: float
    temp_c: float | None = None
    rh_pct: float | None = None
    light_lx: float | None = None
    good: int = 0
    missed: int = 0
    trusted: bool = True
    span_s: float = 60.0
    marks: Mark = Mark.NONE
    probes: tuple[ProbeReading, ...] = ()

    def __post_init__(self) -> None:
        aware(self.measured_at)

    @property
    def measured(self) -> bool:
        """Whether anything of the shelf was measured in this minute."""
        return self.temp_c is not None or self.rh_pct is not None or self.light_lx is not None

    @property
    def air_temp_c(self) -> float | None:
        """The temperature if it can be believed: None while the sun lights the sensor."""
        return None if self.marks & Mark.SUNLIT else self.temp_c


def aware(moment: datetime, what: str = "time") -> datetime:
    """Return `moment` unchanged if it knows its offset.

    Raises:
        JarsideError: it is naive.
    """
    if moment.tzinfo is None:
        raise JarsideError(f"naive {what} {moment.isoformat()}", "Give times with an offset or Z.")
    return moment
