"""From values and times to places on a chart, and the ticks beside them."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo
from functools import lru_cache

from station.domain.figures import number_text
from station.domain.moments import clock_text, plain_day_text


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight or logarithmic way from a value to a coordinate.

    Args:
        low, high: the values at the two ends, low below high; above 0 on a logarithmic scale.
        start, end: the coordinates there.
        log: whether equal ratios take equal room.
    """

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def __call__(self, value: float) -> float:
        """Return the coordinate of a value; one beyond an end is put on that end."""
        if self.log:
            return self.all((value,))[0]
        low, high = self.low, self.high
        within = low if value < low else high if value > high else value
        return self.start + (self.end - self.start) * (within - low) / (high - low)

    def all(self, values: Sequence[float]) -> list[float]:
        """Return the coordinates of many values."""
        low, high, start = self.low, self.high, self.start
        if values and (min(values) < low or max(values) > high):
            values = [low if value < low else high if value > high else value for value in values]
        if self.log:
            factor = (self.end - start) / math.log(high / low)
            return [start + factor * math.log(value / low) for value in values]
        factor = (self.end - start) / (high - low)
        return [start + factor * (value - low) for value in values]


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on an axis, as a value or a time in seconds since the epoch, and what is written there."""

    value: float
    label: str


def value_ticks(low: float, high: float, most: int = 6) -> tuple[Tick, ...]:
    """Return round values that cover low to high: the first at or below low, the last at or above high."""
    rough = max(high - low, 1e-9) / max(most - 1, 1)
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * size for factor in (1.0, 2.0, 5.0, 10.0) if factor * size >= rough * 0.999)
    decimals = max(-math.floor(math.log10(step)), 0)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(Tick(n * step, number_text(n * step, decimals)) for n in range(first, last + 1))


def log_ticks(low: float, high: float) -> tuple[Tick, ...]:
    """Return the powers of ten that cover low to high, both above 0."""
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    return tuple(Tick(10.0**n, number_text(10.0**n, max(-n, 0))) for n in range(first, max(last, first + 1) + 1))


@lru_cache(maxsize=16)  # the charts of one page stand over the same times
def time_ticks(since_at: datetime, until_at: datetime, zone: tzinfo) -> tuple[Tick, ...]:
    """Return local midnights of a span above two days, those before Mondays above two weeks, else every sixth hour.

    Args:
        since_at, until_at: the ends, aware.
        zone: of local times; days of 23 and 25 hours keep their midnights.
    """
    length = until_at - since_at
    weeks, days = length > timedelta(days=14), length > timedelta(days=2)
    hours = (0,) if days else (0, 6, 12, 18)
    moments = [at for at in _local_hours(since_at, until_at, zone, hours) if since_at <= at <= until_at]
    if weeks:
        moments = [at for at in moments if at.weekday() == 0]
    every = max(round(len(moments) / (MOST_WEEKS if weeks else MOST_DAYS)), 1) if days else 1
    label = _date if weeks else _day if days else clock_text
    return tuple(Tick(at.timestamp(), label(at, zone)) for at in moments[::every])


MOST_DAYS, MOST_WEEKS = 8, 5
"""About so many are written below a chart."""


def _day(at: datetime, zone: tzinfo) -> str:
    return plain_day_text(at, zone).rsplit(" ", 1)[0]


def _date(at: datetime, zone: tzinfo) -> str:
    return plain_day_text(at, zone).split(" ", 1)[1]


def _local_hours(since_at: datetime, until_at: datetime, zone: tzinfo, hours: tuple[int, ...]) -> Iterator[datetime]:
    day = since_at.astimezone(zone).date()
    last = until_at.astimezone(zone).date()
    while day <= last:
        for hour in hours:
            yield datetime.combine(day, time(hour), zone)
        day += timedelta(days=1)
