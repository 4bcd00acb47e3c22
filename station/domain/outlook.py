"""What the station thinks of one jar at the present minute."""

from dataclasses import dataclass
from datetime import datetime

from station.domain.forecast import MISSING_H
from station.domain.jars import Stage
from station.domain.warmth import BASE_C, JarHeat


@dataclass(frozen=True, slots=True)
class Outlook:
    """A jar's warmth so far and what is expected of it.

    Args:
        jar_id: the jar.
        judged_at: when this was worked out, aware UTC.
        heat: its temperature and the warmth it has had.
        stage: where it stands.
        chance_ready, chance_past: probabilities, 0 to 1, that it is ready, and past its best.
        need_low, need_likely, need_high: the need in warm-days as 10, 50 and 90 %.
        ready_early_at, ready_likely_at, ready_late_at: when it is ready, as 10, 50 and 90 %; None beyond the horizon
            or unknown.
        ready_at: when its warmth reached the likely need; None before that.
        evening_at: the proposed strain evening, or None.
        evening_reason: why that evening, in one sentence.
        evening_moved_at: when it took the place of another evening that was proposed; None if it is the first, or what
            is believed of the plant has changed since.
        caveats: what limits the trust in it, as short sentences.
        base_c: the base temperature from which its warmth is told, °C: the one that `ready_at` goes by.
    """

    jar_id: str
    judged_at: datetime
    heat: JarHeat
    stage: Stage
    chance_ready: float
    chance_past: float
    need_low: float
    need_likely: float
    need_high: float
    ready_early_at: datetime | None = None
    ready_likely_at: datetime | None = None
    ready_late_at: datetime | None = None
    ready_at: datetime | None = None
    evening_at: datetime | None = None
    evening_reason: str = ""
    evening_moved_at: datetime | None = None
    caveats: tuple[str, ...] = ()
    base_c: float = BASE_C

    @property
    def ready_since_at(self) -> datetime | None:
        """Since when it is ready, or None; where hours are missing, which add nothing to `ready_at`, the likeliest."""
        if self.ready_at is None or self.heat.warmth.missing_h < MISSING_H:
            return self.ready_at
        return self.ready_likely_at or self.ready_at

    @property
    def warm_days(self) -> float:
        """The warmth it has had, in warm-days: what its need is compared with."""
        return self.heat.warmth.warm_days(self.base_c)

    @property
    def degree_hours(self) -> float:
        """The same in °C·h above the base."""
        return self.heat.warmth.degree_hours(self.base_c)
