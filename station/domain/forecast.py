"""Forecast: the shelf's coming temperatures as many draws, and from them when a jar will be ready, as a range.

The draws are the same every time (fixed random numbers), so that a date moves only when something was measured.
"""

import enum
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from station.domain.paths import HORIZON_DAYS, ShelfPaths
from station.domain.readiness import PAST_SHARE, Belief, chance_reached, chances_reached, possible_ch
from station.domain.warmth import BRIDGE_S, TIME_CONSTANT_S, JarHeat

COLD_C = 16.0
"""Below this the base temperature matters so much that a single date is not honest."""
SHORT_LOG_DAYS = 3.0
MISSING_H = 0.5
"""Missing hours that are worth a word."""

_HALVINGS = 10


class Caveat(enum.StrEnum):
    """Why a range is wider than one would wish, or why there is none."""

    NO_READINGS = "no readings since packing: warmth unknown"
    NO_SHELF = "no shelf temperature measured yet"
    NO_LOG = "no log yet: the present temperature is taken to stay"
    SHORT_LOG = "the log is shorter than three days"
    COLD_SHELF = "the shelf is below 16 °C (61 °F), where nobody knows the rate well"
    MISSING_READINGS = "readings are missing since packing"
    BEYOND_HORIZON = "it may take more than 30 days at this temperature"


@dataclass(frozen=True, slots=True)
class ReadyRange:
    """When a jar will be ready: one chance in ten by `early_at`, even by `likely_at`, nine in ten by `late_at`.

    A time is None when it lies beyond the horizon, or when the jar's warmth is unknown; `caveats` say which. A time
    in the past says that this chance was reached about then.
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


@dataclass(frozen=True, slots=True)
class Prospect:
    """One jar's future: the belief about its need, and the warmth it will have had under each draw.

    Args:
        belief: what is believed of its plant's need.
        paths: the shelf's coming temperatures.
        packed_at: when it was packed, as far as its warmth tells.
        starts: what it may have had, as degree-hours above each base with the weight of each case.
        missing_h: for how many hours nothing is known of its warmth.
    """

    belief: Belief
    paths: ShelfPaths
    packed_at: datetime
    starts: tuple[tuple[tuple[float, ...], float], ...]
    missing_h: float

    def chances(self, at: datetime) -> Chances:
        """Return the chances at a coming moment; beyond the horizon those at its end."""
        day = min(max((at - self.paths.now_at) / timedelta(days=1), 0.0), float(HORIZON_DAYS))
        return Chances(at, self._reached(day), self._reached(day, PAST_SHARE))

    def ready_ats(self, shares: Iterable[float]) -> tuple[datetime | None, ...]:
        """Return when the chance of being ready reaches each share; None if not within the horizon."""
        reached = cache(self._reached)  # the searches begin in the same places
        return tuple([self._ready_at(share, reached) for share in shares])

    def _ready_at(self, share: float, reached: Callable[[float], float]) -> datetime | None:
        low, high = 0.0, float(HORIZON_DAYS)
        if self._has_reached() >= share:
            return self._was_ready_at(share)
        if reached(high) < share:
            return None
        for _ in range(_HALVINGS):  # to within 42 min; then along the chord
            middle = 0.5 * (low + high)
            low, high = (low, middle) if reached(middle) >= share else (middle, high)
        below, above = reached(low), reached(high)
        part = (share - below) / (above - below) if above > below else 1.0
        return self.paths.now_at + timedelta(days=low + (high - low) * part)

    def _was_ready_at(self, share: float) -> datetime:
        """Look back along an even course: which warmth came when is no longer known."""
        low, high = 0.0, 1.0
        for _ in range(_HALVINGS + 2):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self._has_reached(1.0 / middle) >= share else (middle, high)
        return self.packed_at + (self.paths.now_at - self.packed_at) * high

    def _has_reached(self, share: float = 1.0) -> float:
        """Return the chance that the warmth now has reached this share of the need: no course has parted yet."""
        return sum(weight * chance_reached(self.belief, starts_ch, share) for starts_ch, weight in self.starts)

    def _reached(self, day: float, share: float = 1.0) -> float:
        """Return the chance that the warmth at `day` has reached this share of the need."""
        whole = min(int(day), HORIZON_DAYS - 1)
        part, total = day - whole, 0.0
        waves_ch, rows_ch = self.paths.waves_ch(part), self.paths.excess_ch
        for starts_ch, weight in self.starts:
            cases_ch = [
                [start_ch + wave_ch + row[whole] + part * (row[whole + 1] - row[whole]) for row in rows]
                for start_ch, wave_ch, rows in zip(starts_ch, waves_ch, rows_ch, strict=True)
            ]
            total += weight * chances_reached(self.belief, cases_ch, share)
        return total / len(rows_ch[0])


def prospect_of(belief: Belief, heat: JarHeat, paths: ShelfPaths, tau_s: float = TIME_CONSTANT_S) -> Prospect | None:
    """Return a jar's future, or None when its warmth or the shelf's temperature is unknown.

    Args:
        belief: what is believed of its plant's need.
        heat: the warmth it has had and its temperature.
        paths: the shelf's coming temperatures, one set for all jars.
        tau_s: the jar's time constant in seconds.
    """
    gap_s = max(0.0, (paths.now_at - heat.through_at).total_seconds())
    if paths.level_c is None or (heat.temp_c is None and gap_s > BRIDGE_S):
        return None
    warmth, carried_ch = heat.warmth, 0.0
    if heat.temp_c is not None:
        warmth = warmth.bridged(heat.temp_c, gap_s)
        carried_ch = tau_s / 3600.0 * (heat.temp_c - paths.level_c)  # the jar is still warmer than the shelf
    starts = tuple(
        (tuple([one_ch + carried_ch for one_ch in had_ch]), weight) for had_ch, weight in possible_ch(warmth)
    )
    stood_h = warmth.observed_h + warmth.bridged_h + warmth.missing_h
    return Prospect(belief, paths, paths.now_at - timedelta(hours=stood_h), starts, warmth.missing_h)


def ready_range(belief: Belief, heat: JarHeat, paths: ShelfPaths, tau_s: float = TIME_CONSTANT_S) -> ReadyRange:
    """Return when a jar will be ready, as a range; unknown and never are values.

    Args:
        belief, heat, paths, tau_s: as for `prospect_of`.
    """
    prospect = prospect_of(belief, heat, paths, tau_s)
    if prospect is None:
        why = Caveat.NO_SHELF if paths.level_c is None else Caveat.NO_READINGS
        return ReadyRange(paths.now_at, None, None, None, (why,))
    early_at, likely_at, late_at = prospect.ready_ats((0.1, 0.5, 0.9))
    return ReadyRange(paths.now_at, early_at, likely_at, late_at, _caveats(prospect, beyond=late_at is None))


def _caveats(prospect: Prospect, *, beyond: bool) -> tuple[Caveat, ...]:
    paths = prospect.paths
    found = {
        Caveat.NO_LOG: paths.history_days == 0.0,
        Caveat.SHORT_LOG: 0.0 < paths.history_days < SHORT_LOG_DAYS,
        Caveat.COLD_SHELF: paths.level_c is not None and paths.level_c < COLD_C,
        Caveat.MISSING_READINGS: prospect.missing_h >= MISSING_H,
        Caveat.BEYOND_HORIZON: beyond,
    }
    return tuple(caveat for caveat, holds in found.items() if holds)
