"""Watching a sensor in a sealed bag with a damp salt until it is steady: a step machine driven by its answers.

The air in the bag nears the salt's humidity as an exponential does. When the reading still moves by 0.2 %RH an hour, a
bag with a time constant of an hour is 0.2 %RH short of its end, and one of three hours 0.6 %RH.
"""

import enum
import math
from dataclasses import dataclass, replace
from statistics import fmean, median

from station.domain.readings import Miss, Sample
from station.domain.salts import Salt

WINDOW_MIN = 90
LEAST_S = 2 * 3600.0
MOST_S = 24 * 3600.0
SILENT_S = 600.0
STEADY_PCT_PER_H = 0.2
HOLD_S = 1800.0
"""It must stay so steady for half an hour: a reading that swings is steady for a moment where it turns."""
STEADY_C = 1.5
"""A room that warms or cools by more within the window moves the humidity in the bag with it."""
LAST_MIN = 30
"""The reading is the mean of the last half hour."""
COVERED = 0.8
"""Share of the window's minutes that must have a good answer."""


class Phase(enum.StrEnum):
    """How far the watch has come."""

    SETTLING = "settling"
    STEADY = "steady"
    SILENT = "silent"
    """The sensor has given nothing for ten minutes."""
    RESTLESS = "restless"
    """Not steady after a day: the bag leaks, or the room swings too much."""


@dataclass(frozen=True, slots=True)
class Minute:
    """The medians of one minute in the bag."""

    number: int
    rh_pct: float
    temp_c: float


@dataclass(frozen=True, slots=True)
class SaltWatch:
    """What is known so far. Begin with `SaltWatch(salt, began_s, began_s)`.

    Args:
        salt: what is in the bag.
        began_s: when the watch began, on a clock that never steps.
        heard_s: when the sensor last gave an answer.
        phase: how far it has come; it stays once it is not `settling`.
        minutes: the last 90 with an answer, oldest first.
        samples: the good answers of the minute under way.
        steady_s: since when it moves so little; None while it does not.
    """

    salt: Salt
    began_s: float
    heard_s: float
    phase: Phase = Phase.SETTLING
    minutes: tuple[Minute, ...] = ()
    samples: tuple[Sample, ...] = ()
    steady_s: float | None = None

    @property
    def rh_pct(self) -> float | None:
        """The reading: the mean of the last half hour, %RH; None before the first minute."""
        return fmean([minute.rh_pct for minute in self._last()]) if self.minutes else None

    @property
    def temp_c(self) -> float | None:
        """The temperature in the bag over the last half hour, °C; None before the first minute."""
        return fmean([minute.temp_c for minute in self._last()]) if self.minutes else None

    @property
    def drift_pct_per_h(self) -> float | None:
        """How fast the reading moves, %RH an hour, by least squares over the window; None while that is not known."""
        if len(self.minutes) < COVERED * WINDOW_MIN:
            return None
        hours = [minute.number / 60.0 for minute in self.minutes]
        middle, level = fmean(hours), fmean([minute.rh_pct for minute in self.minutes])
        moved = sum((hour - middle) * (minute.rh_pct - level) for hour, minute in zip(hours, self.minutes, strict=True))
        return moved / sum((hour - middle) ** 2 for hour in hours)

    def _last(self) -> tuple[Minute, ...]:
        since = self.minutes[-1].number - LAST_MIN
        return tuple(minute for minute in self.minutes if minute.number > since)


def watched(watch: SaltWatch, answer: Sample | Miss, at_s: float) -> SaltWatch:
    """Return the watch after one more answer of the sensor.

    Args:
        watch: the watch so far.
        answer: what the sensor said, uncorrected.
        at_s: when, on the clock of `began_s`.
    """
    if watch.phase is not Phase.SETTLING:
        return watch
    if isinstance(answer, Miss) or answer.rh_pct is None or answer.temp_c is None:
        return replace(watch, phase=Phase.SILENT) if at_s - watch.heard_s >= SILENT_S else watch
    number = int((at_s - watch.began_s) // 60.0)
    before = int((watch.heard_s - watch.began_s) // 60.0)
    if number > before and watch.samples:
        watch = replace(watch, minutes=_with_minute(watch, before, number), samples=())
    watch = replace(watch, heard_s=at_s, samples=(*watch.samples, answer))
    steady_s = (at_s if watch.steady_s is None else watch.steady_s) if _moves_little(watch) else None
    return replace(watch, steady_s=steady_s, phase=_phase(at_s - watch.began_s, at_s, steady_s))


def _with_minute(watch: SaltWatch, number: int, now: int) -> tuple[Minute, ...]:
    rh_pct = median([sample.rh_pct for sample in watch.samples if sample.rh_pct is not None])
    temp_c = median([sample.temp_c for sample in watch.samples if sample.temp_c is not None])
    recent = (minute for minute in watch.minutes if minute.number >= now - WINDOW_MIN)
    return (*recent, Minute(number, rh_pct, temp_c))


def _phase(elapsed_s: float, at_s: float, steady_s: float | None) -> Phase:
    if steady_s is not None and at_s - steady_s >= HOLD_S and elapsed_s >= LEAST_S:
        return Phase.STEADY
    return Phase.RESTLESS if elapsed_s >= MOST_S else Phase.SETTLING


def _moves_little(watch: SaltWatch) -> bool:
    drift = watch.drift_pct_per_h
    return drift is not None and abs(drift) <= STEADY_PCT_PER_H and _swing_c(watch) <= STEADY_C


def _swing_c(watch: SaltWatch) -> float:
    temps = [minute.temp_c for minute in watch.minutes]
    return max(temps) - min(temps) if temps else math.inf
