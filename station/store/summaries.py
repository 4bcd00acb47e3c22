"""What pages and reports read of the shelf log: hours and buckets instead of single readings."""

from dataclasses import dataclass
from datetime import datetime

from station.domain.conditions import Kind


@dataclass(frozen=True, slots=True)
class Spread:
    """Least, mean (weighted by time) and greatest value over a while, in the quantity's own unit."""

    low: float
    mean: float
    high: float


@dataclass(frozen=True, slots=True)
class HourSummary:
    """One hour of the shelf, or several put together; None means not measured.

    Args:
        start_at: aware UTC.
        temp_c, rh_pct, light_lx: what was measured; temperature and humidity without direct sun on the sensor.
        measured_h: hours of it that were measured.
        raised_h: how many hours each condition held; those that did not are left out.
        count: how many readings it has.
        temp_h: hours of it whose temperature is known.
        good_h: of several hours, those whose mean temperature lay within the good range, as far as measured.
    """

    start_at: datetime
    temp_c: Spread | None
    rh_pct: Spread | None
    light_lx: Spread | None
    measured_h: float
    raised_h: tuple[tuple[Kind, float], ...] = ()
    count: int = 0
    good_h: float = 0.0
    temp_h: float = 0.0


@dataclass(frozen=True, slots=True)
class Bucket:
    """One step of a chart: `span_s` seconds from `start_at`; the values as in HourSummary, `count` readings."""

    start_at: datetime
    span_s: float
    temp_c: Spread | None
    rh_pct: Spread | None
    light_lx: Spread | None
    count: int


@dataclass(frozen=True, slots=True)
class Samples:
    """How the sensors did over a while: samples used and missed, readings, and those whose clock was not trusted."""

    good: int = 0
    missed: int = 0
    readings: int = 0
    untrusted: int = 0

    @property
    def good_pct(self) -> float | None:
        """The share of good samples, 0 to 100; None where none was asked for."""
        asked = self.good + self.missed
        return 100.0 * self.good / asked if asked else None
