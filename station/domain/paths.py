"""Paths: equally likely courses of the coming shelf temperature, drawn from the last days of the log.

A draw is a level for each coming day, round which the hours lie as they did in the last days. The level begins at
the present one, drifts back towards that of the last fortnight, and wanders; the wander's size is learned from how
much the level changed from day to day. Random numbers are fixed: the same log gives the same paths.
"""

import math
import random
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import accumulate, pairwise
from operator import add, sub

from station.domain.readings import aware
from station.domain.warmth import BASES_C, CAP_C

HISTORY_DAYS = 14
"""Older parts of the log are not looked at."""
HORIZON_DAYS = 30
DRAWS = 100
COURSES = 10
"""So many courses stand for the draws: each is the mean of a tenth of them, from the coldest tenth to the warmest."""
LEVEL_H = 4.0
"""The present level is the mean of so many hours, each less its usual departure from its day's mean."""
REVERSION_DAYS = 12.0
"""Time constant with which the level drifts back. On a real half-heated house 3 to 6 h, 14 days and 8 to 14 days gave
the smallest errors of the next six days' mean, among 3 to 24 h, 7 to 30 days, and 4 days to never. Four weeks, and a
trend of the season on top, made these errors no smaller there; in model rooms the trend takes about 0.1 °C off."""
USUAL_WANDER_C = 0.6
USUAL_WANDER_DAYS = 2.0
"""The wander (°C per square root of a day) before the log has shown its own, and how many days that counts for. An
evenly heated room wanders by 0.3, a half-heated house by 1.2: this lies between. A few days of log outweigh it."""
UNSURE_LEVEL_C = 1.5
"""How far the present temperature may lie from the day's level if only that is known; a day of log settles it."""
GRACE_H = 1.0
"""A day of log counts as whole, for the hours of the day, with so many hours missing."""

_BLOCKS = 8
_BLOCK_H = 24.0 / _BLOCKS


@dataclass(frozen=True, slots=True)
class HourMean:
    """The shelf's mean temperature over the hour that begins at `at`."""

    at: datetime
    temp_c: float


@dataclass(frozen=True, slots=True)
class ShelfPaths:
    """Equally likely courses of the coming warmth of the shelf, one set for all jars.

    Args:
        now_at: when they begin.
        level_c: the shelf's present level (mean over a day); None if nothing is known of it.
        history_days: how many days of the log they were drawn from.
        excess_ch: for each of `BASES_C` and each course, the degree-hours from `now_at` to the end of each day.
        wave_ch: how far the degree-hours run ahead of an even course after each eighth of a day.
        awake: for each of `BASES_C`, the share of the day in which it is above the base.
    """

    now_at: datetime
    level_c: float | None
    history_days: float
    excess_ch: tuple[tuple[Sequence[float], ...], ...] = ()
    wave_ch: tuple[float, ...] = (0.0,) * (_BLOCKS + 1)
    awake: tuple[float, ...] = (1.0,) * len(BASES_C)

    def waves_ch(self, part: float) -> list[float]:
        """Return, for each base, how far the degree-hours are ahead of an even course when `part` of a day is over."""
        place = part * _BLOCKS
        low = min(int(place), _BLOCKS - 1)
        wave_ch = self.wave_ch[low] + (place - low) * (self.wave_ch[low + 1] - self.wave_ch[low])
        return [wave_ch * share for share in self.awake]


@dataclass(frozen=True, slots=True)
class _Past:
    """A temperature, and how many hours ago it began to be."""

    age_h: float
    temp_c: float

    @property
    def block(self) -> int:
        """Which eighth of the coming day this hour of the day falls in."""
        return int(-self.age_h % 24.0 / _BLOCK_H) % _BLOCKS


def shelf_paths(hours: Sequence[HourMean], now_at: datetime, present_temp_c: float | None) -> ShelfPaths:
    """Draw the coming shelf temperatures.

    Args:
        hours: hourly means of the log in order of time, hours without readings left out; what is older than
            `HISTORY_DAYS` is not looked at.
        now_at: aware UTC time from which to draw.
        present_temp_c: the shelf's present temperature, or None.

    Raises:
        JarsideError: `now_at` is naive.
    """
    past = _past(hours, aware(now_at))
    history_days = len(past) / 24.0
    if present_temp_c is not None:
        past.append(_Past(0.0, present_temp_c))
    if not past:
        return ShelfPaths(now_at, None, 0.0)
    days = _days(past)
    shape = _shape(days)
    level_c = _level(past, shape)
    unsure_c = UNSURE_LEVEL_C * max(0.0, 1.0 - history_days)
    draws = _drawn(level_c, _mean([one.temp_c for one in past]), _wander(days), unsure_c)
    day = _Day(shape)
    return ShelfPaths(
        now_at,
        level_c,
        history_days,
        _excess_ch(day, draws),
        tuple(accumulate((_BLOCK_H * departure for departure in shape), initial=0.0)),
        tuple(
            (day.warmth_ch(level_c + 0.5, base_c) - day.warmth_ch(level_c - 0.5, base_c)) / 24.0 for base_c in BASES_C
        ),
    )


def _past(hours: Sequence[HourMean], now_at: datetime) -> list[_Past]:
    oldest_at = now_at - timedelta(days=HISTORY_DAYS)
    return [
        _Past((now_at - hour.at).total_seconds() / 3600.0, hour.temp_c)
        for hour in hours
        if oldest_at < hour.at <= now_at
    ]


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _days(past: Sequence[_Past]) -> list[list[_Past]]:
    """Return what belongs to each of the last days, counted back from now, the last day first."""
    days: list[list[_Past]] = [[] for _ in range(HISTORY_DAYS)]
    for one in past:
        days[int(one.age_h / 24.0 - 1e-9)].append(one)
    return days


def _shape(days: Sequence[Sequence[_Past]]) -> list[float]:
    """Return how far the coming eighths of a day usually lie from the day's mean, °C; they sum to 0."""
    departures: list[list[float]] = [[] for _ in range(_BLOCKS)]
    for day in days:
        if len(day) >= 24.0 - GRACE_H:
            mean_c = _mean([one.temp_c for one in day])
            for one in day:
                departures[one.block].append(one.temp_c - mean_c)
    if not all(departures):
        return [0.0] * _BLOCKS
    shape = [_mean(block) for block in departures]
    centre_c = _mean(shape)
    return [departure_c - centre_c for departure_c in shape]


def _level(past: Sequence[_Past], shape: Sequence[float]) -> float:
    """Return the present level; if the last hours are missing, that of the last known ones."""
    last = [one for one in past if one.age_h <= LEVEL_H] or past[-int(LEVEL_H) :]
    return _mean([one.temp_c - shape[one.block] for one in last])


def _wander(days: Sequence[Sequence[_Past]]) -> float:
    """Return the level's wander, °C per square root of a day.

    The means of neighbouring days of a random walk differ by sqrt(2/3) of what it wanders in a day.
    """
    means = [_mean([one.temp_c for one in day]) if len(day) >= 12 else None for day in days]
    changes = [late - early for late, early in pairwise(means) if late is not None and early is not None]
    squares = 1.5 * math.fsum(change**2 for change in changes) + USUAL_WANDER_DAYS * USUAL_WANDER_C**2
    return math.sqrt(squares / (len(changes) + USUAL_WANDER_DAYS))


def _drawn(level_c: float, long_c: float, wander_c: float, unsure_c: float) -> list[list[float]]:
    """Return the level of each coming day, for each draw."""
    drift = [long_c + (level_c - long_c) * math.exp(-(day + 0.5) / REVERSION_DAYS) for day in range(HORIZON_DAYS)]
    return [_one_drawn(drift, unsure_c * unsure, wander_c, path) for unsure, path in _unit_draws()]


def _one_drawn(drift: Sequence[float], off_c: float, wander_c: float, path: Sequence[float]) -> list[float]:
    return [one_c + off_c + wander_c * wander for one_c, wander in zip(drift, path, strict=True)]


@lru_cache(maxsize=1)
def _unit_draws() -> tuple[tuple[float, tuple[float, ...]], ...]:
    """Return standard draws: the doubt about the level, and the wander's mean for each coming day.

    They come in pairs that mirror each other, so that their mean is exactly 0.
    """
    source = random.Random(1716)
    draws = [(source.gauss(), _unit_wander(source)) for _ in range(DRAWS // 2)]
    return tuple(draws + [(-unsure, tuple(-one for one in path)) for unsure, path in draws])


def _unit_wander(source: random.Random, parts: int = 4) -> tuple[float, ...]:
    keep, step = math.exp(-1.0 / parts / REVERSION_DAYS), 1.0 / math.sqrt(parts)
    steps = [source.gauss(0.0, step) for _ in range(parts * HORIZON_DAYS)]
    ends = accumulate(steps, lambda level, change: keep * level + change, initial=0.0)
    middles = [0.5 * (start + end) for start, end in pairwise(ends)]
    return tuple(_mean(middles[first : first + parts]) for first in range(0, len(middles), parts))


class _Day:
    """How a day's hours lie round its level: from a level to degree-hours, exactly.

    Args:
        shape: the departure of each eighth of the day, °C.
    """

    def __init__(self, shape: Sequence[float]) -> None:
        self._departures = sorted(shape)
        self._sums = tuple(accumulate(self._departures, initial=0.0))
        self.coldest_c = self._departures[0]
        self.warmest_c = self._departures[-1]

    def below_ch(self, level_c: float, bound_c: float) -> float:
        """Return by how many degree-hours the eighths that lie below the bound lie below it."""
        margin_c = level_c - bound_c
        count = bisect_left(self._departures, -margin_c)
        return -_BLOCK_H * (self._sums[count] + count * margin_c)

    def capped_ch(self, level_c: float) -> float:
        """Return the day's degree-hours above 0 °C, each eighth capped; a day wholly below 0 °C counts negative."""
        return 24.0 * CAP_C - self.below_ch(level_c, CAP_C)

    def warmth_ch(self, level_c: float, base_c: float) -> float:
        """Return a day's degree-hours above the base, capped."""
        return self.capped_ch(level_c) + self.below_ch(level_c, base_c) - 24.0 * base_c


def _excess_ch(day: _Day, draws: Sequence[Sequence[float]]) -> tuple[tuple[Sequence[float], ...], ...]:
    """Return, for each base, the courses of the degree-hours above it."""
    sums = [list(accumulate(_capped(day, path), initial=0.0)) for path in draws]
    lows_c = list(map(min, draws))
    plain = _courses(sums)  # as good for every base under which nobody falls
    found = []
    for base_c in BASES_C:
        reach_c = base_c - day.coldest_c  # on days below this level some hours are below the base
        if min(lows_c) < reach_c:
            clamped = [
                _clamped(day, path, one, base_c) if low_c < reach_c else one
                for path, one, low_c in zip(draws, sums, lows_c, strict=True)
            ]
            found.append(_above(_courses(clamped), base_c))
        else:
            found.append(_above(plain, base_c))
    return tuple(found)


def _capped(day: _Day, path: Sequence[float]) -> list[float]:
    """Return each day's degree-hours above 0 °C."""
    from_c = CAP_C - day.warmest_c
    return [24.0 * level_c if level_c <= from_c else day.capped_ch(level_c) for level_c in path]


def _clamped(day: _Day, path: Sequence[float], sums: Sequence[float], base_c: float) -> list[float]:
    """Return the sums with what lies below the base filled up to it."""
    reach_c = base_c - day.coldest_c
    below = [0.0 if level_c >= reach_c else day.below_ch(level_c, base_c) for level_c in path]
    return list(map(add, sums, accumulate(below, initial=0.0)))


def _above(courses: Sequence[Sequence[float]], base_c: float) -> tuple[Sequence[float], ...]:
    """Return courses of degree-hours above the base from those above 0 °C."""
    less_ch = [24.0 * base_c * day for day in range(HORIZON_DAYS + 1)]
    return tuple(tuple(map(sub, course, less_ch)) for course in courses)


def _courses(sums: Sequence[Sequence[float]]) -> list[list[float]]:
    """Return the draws sorted day by day, and each tenth's mean."""
    size = DRAWS // COURSES
    ends = [sorted(end) for end in zip(*sums, strict=True)]
    return [[sum(end[first : first + size]) / size for end in ends] for first in range(0, DRAWS, size)]
