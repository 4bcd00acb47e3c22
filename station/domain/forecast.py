"""Forecast: the shelf's coming temperatures as many draws, and from them when a jar will be ready, as a range.

The draws are the same every time (fixed random numbers), so that a date moves only when something was measured.
"""

import enum
import math
import random
from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import accumulate

from station.domain.readiness import MISSING_SD_C, PAST_SHARE, Belief, filled_ch
from station.domain.warmth import BASES_C, BRIDGE_S, CAP_C, REFERENCE_C, TIME_CONSTANT_S, JarHeat

HISTORY_DAYS = 14
"""How much of the log the coming temperatures are drawn from; more than this is not looked at."""
DRAWS = 100
STEP_H = 3.0
HORIZON_DAYS = 30
COLD_C = 16.0
"""Below this the base temperature matters so much that a single date is not honest."""
SHORT_LOG_DAYS = 3.0

_STEPS = round(HORIZON_DAYS * 24 / STEP_H)
_SCALE = tuple(24.0 * (REFERENCE_C - base_c) for base_c in BASES_C)
_LOG_STEP = 0.025
_PAST = math.log(PAST_SHARE)


@dataclass(frozen=True, slots=True)
class HourMean:
    """The shelf's mean temperature over one hour that begins at `at`."""

    at: datetime
    temp_c: float


class Caveat(enum.StrEnum):
    """Why a range is wider than one would wish, or why there is none."""

    NO_READINGS = "no readings since packing: warmth unknown"
    NO_SHELF = "no shelf temperature measured"
    SHORT_LOG = "the log is short"
    COLD_SHELF = "the shelf is below 16 °C"
    MISSING_READINGS = "readings are missing"
    BEYOND_HORIZON = "not within 30 days"


@dataclass(frozen=True, slots=True)
class ShelfPaths:
    """Many equally likely courses of the coming shelf temperature.

    Args:
        now_at: when they begin.
        level_c: the shelf's present mean over a day, None if nothing is known of it.
        history_days: how many days of the log they were drawn from.
        excess_ch: for each of `BASES_C`, for each draw, the degree-hours from `now_at` to each step's end.
    """

    now_at: datetime
    level_c: float | None
    history_days: float
    excess_ch: tuple[tuple[Sequence[float], ...], ...]


@dataclass(frozen=True, slots=True)
class ReadyRange:
    """When a jar will be ready: one chance in ten by `early_at`, even by `likely_at`, nine in ten by `late_at`.

    A time is None when it lies beyond the horizon, or when the jar's warmth is unknown; `caveats` say which. A time
    in the past means that this chance was reached then.
    """

    made_at: datetime
    early_at: datetime | None
    likely_at: datetime | None
    late_at: datetime | None
    caveats: tuple[Caveat, ...] = ()

    @property
    def known(self) -> bool:
        """Whether there was anything to go by."""
        return Caveat.NO_READINGS not in self.caveats and Caveat.NO_SHELF not in self.caveats


@dataclass(frozen=True, slots=True)
class Chances:
    """The probabilities, 0 to 1, that a jar is ready and that it is past its best at a moment."""

    at: datetime
    ready: float
    past: float

    @property
    def good(self) -> float:
        """The chance that it is ready and not past it."""
        return self.ready - self.past


REVERSION_DAYS = 8.0
DAY_SD_C = 0.8


@lru_cache(maxsize=1)
def _unit_noise() -> tuple[tuple[Sequence[float], ...], tuple[float, ...]]:
    """Return unit draws of the level's wander (pairs that mirror each other), and one more number for each draw."""
    source = random.Random(1716)
    keep = math.exp(-STEP_H / 24.0 / REVERSION_DAYS)
    step_sd = math.sqrt(STEP_H / 24.0)
    paths: list[Sequence[float]] = []
    for _ in range(DRAWS // 2):
        noise = (source.gauss(0.0, step_sd) for _ in range(_STEPS))
        path = array("d", accumulate(noise, lambda level, step: keep * level + step))
        paths += [path, array("d", [-value for value in path])]
    spread = [source.gauss(0.0, 1.0) for _ in range(DRAWS // 2)]
    return tuple(paths), tuple(sign * one for one in spread for sign in (1.0, -1.0))


def shelf_paths(hours: Sequence[HourMean], now_at: datetime, present_temp_c: float | None) -> ShelfPaths:
    """Draw the coming shelf temperatures.

    The hour-of-day shape and the level are those of the last days of the log, the present departure from them
    fades, and the spread grows further out. Without a log the present temperature stands.

    Args:
        hours: the log's hourly means in order of time; those older than `HISTORY_DAYS` are not looked at.
        now_at: aware UTC time from which to draw.
        present_temp_c: the shelf's present temperature, or None.
    """
    oldest_at = now_at - timedelta(days=HISTORY_DAYS)
    recent = [hour for hour in hours if oldest_at <= hour.at < now_at]
    history_days = len(recent) / 24.0
    if not recent:
        if present_temp_c is None:
            return ShelfPaths(now_at, None, 0.0, ())
        return ShelfPaths(now_at, present_temp_c, 0.0, _excess([present_temp_c] * _STEPS))
    last_day = [hour.temp_c for hour in recent[-24:]]
    level_c = math.fsum(last_day) / len(last_day)
    shape = _shape(recent)
    mean = [level_c + shape[int((now_at + timedelta(hours=STEP_H * (k + 0.5))).hour // 3)] for k in range(_STEPS)]
    return ShelfPaths(now_at, level_c, history_days, _excess(mean))


def _shape(recent: Sequence[HourMean]) -> list[float]:
    blocks: list[list[float]] = [[] for _ in range(8)]
    for hour in recent:
        blocks[hour.at.hour // 3].append(hour.temp_c)
    if not all(blocks):
        return [0.0] * 8
    means = [math.fsum(block) / len(block) for block in blocks]
    centre = math.fsum(means) / 8
    return [mean - centre for mean in means]


def _excess(mean: Sequence[float]) -> tuple[tuple[Sequence[float], ...], ...]:
    paths, _ = _unit_noise()
    drawn = [[centre + DAY_SD_C * one for centre, one in zip(mean, path, strict=True)] for path in paths]
    return tuple(tuple(_cumulated(path, base_c) for path in drawn) for base_c in BASES_C)


def _cumulated(path: Sequence[float], base_c: float) -> Sequence[float]:
    excess = [STEP_H * (min(max(temp_c, base_c), CAP_C) - base_c) for temp_c in path]
    return array("d", accumulate(excess, initial=0.0))


def ready_range(belief: Belief, heat: JarHeat, paths: ShelfPaths, tau_s: float = TIME_CONSTANT_S) -> ReadyRange:
    """Return when a jar will be ready, as a range.

    Args:
        belief: what is believed of its plant's need.
        heat: the warmth it has had and its temperature.
        paths: the shelf's coming temperatures, one set for all jars.
        tau_s: the jar's time constant in seconds.
    """
    outlook = outlook_of(belief, heat, paths, tau_s)
    if outlook is None:
        why = Caveat.NO_SHELF if paths.level_c is None else Caveat.NO_READINGS
        return ReadyRange(paths.now_at, None, None, None, (why,))
    early_at, likely_at, late_at = (outlook.ready_at(share) for share in (0.1, 0.5, 0.9))
    caveats = tuple(_caveats(heat, paths, beyond=late_at is None))
    return ReadyRange(paths.now_at, early_at, likely_at, late_at, caveats)


def _caveats(heat: JarHeat, paths: ShelfPaths, *, beyond: bool) -> list[Caveat]:
    level_c = paths.level_c or 0.0
    found = {
        Caveat.SHORT_LOG: paths.history_days < SHORT_LOG_DAYS,
        Caveat.COLD_SHELF: level_c < COLD_C,
        Caveat.MISSING_READINGS: heat.warmth.missing_h > 0.0,
        Caveat.BEYOND_HORIZON: beyond,
    }
    return [caveat for caveat, holds in found.items() if holds]


@dataclass(frozen=True, slots=True)
class Outlook:
    """One jar's future: what is believed, what it has had under each draw, and the shelf's paths."""

    belief: Belief
    paths: ShelfPaths
    elapsed_h: float
    starts_ch: tuple[tuple[float, ...], ...]

    def chances(self, at: datetime) -> Chances:
        """Return the chances at a coming moment; beyond the horizon those at its end."""
        place = min(max((at - self.paths.now_at).total_seconds() / 3600.0 / STEP_H, 0.0), float(_STEPS))
        return Chances(at, self._reached(place, 0.0), self._reached(place, _PAST))

    def ready_at(self, share: float) -> datetime | None:
        """Return when the chance of being ready reaches `share`, or None if not within the horizon."""
        if self._reached(float(_STEPS), 0.0) < share:
            return None
        low, high = 0.0, float(_STEPS)
        if self._reached(0.0, 0.0) >= share:
            return self._was_ready_at(share)
        while high - low > 0.05:
            middle = 0.5 * (low + high)
            if self._reached(middle, 0.0) >= share:
                high = middle
            else:
                low = middle
        return self.paths.now_at + timedelta(hours=STEP_H * high)

    def _was_ready_at(self, share: float) -> datetime:
        """Look back along a straight line: what came when within the past is no longer known."""
        low, high = 1e-6, 1.0
        for _ in range(12):
            middle = 0.5 * (low + high)
            if self._reached(0.0, -math.log(middle)) >= share:
                high = middle
            else:
                low = middle
        return self.paths.now_at - timedelta(hours=self.elapsed_h * (1.0 - high))

    def _reached(self, place: float, log_less: float) -> float:
        step = min(int(place), _STEPS - 1)
        part = place - step
        total = 0.0
        for heights, rows, starts, scale in zip(
            self.belief.ready, self.paths.excess_ch, self.starts_ch, _SCALE, strict=True
        ):
            if heights[-1] < 1e-4:
                continue
            origin, last = math.log(scale) + log_less, len(heights) - 1
            for row, start in zip(rows, starts, strict=True):
                had_ch = start + row[step] + part * (row[step + 1] - row[step])
                where = (math.log(had_ch) - origin) / _LOG_STEP if had_ch > 0.0 else 0.0
                if where > 0.0:
                    low = int(where)
                    if low >= last:
                        total += heights[-1]
                    else:
                        total += heights[low] + (where - low) * (heights[low + 1] - heights[low])
        return total / len(self.starts_ch[0])


def outlook_of(belief: Belief, heat: JarHeat, paths: ShelfPaths, tau_s: float = TIME_CONSTANT_S) -> Outlook | None:
    """Return a jar's future, or None when its warmth or the shelf's temperature is unknown."""
    gap_s = max(0.0, (paths.now_at - heat.through_at).total_seconds())
    if paths.level_c is None or (heat.temp_c is None and gap_s > BRIDGE_S):
        return None
    warmth = heat.warmth if heat.temp_c is None else heat.warmth.bridged(heat.temp_c, gap_s)
    carried_ch = 0.0 if heat.temp_c is None else tau_s / 3600.0 * (heat.temp_c - paths.level_c)
    _, deviations = _unit_noise()
    filled = [filled_ch(warmth, MISSING_SD_C * deviation) for deviation in deviations]
    starts = tuple(tuple(had_ch + carried_ch for had_ch in column) for column in zip(*filled, strict=True))
    elapsed_h = warmth.observed_h + warmth.bridged_h + warmth.missing_h
    return Outlook(belief, paths, elapsed_h, starts)
