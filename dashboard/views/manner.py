"""How this grower reads and works: zone, units, place, limits, evenings."""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from station.config import Settings
from station.domain.figures import TempUnit
from station.domain.guidance import Limits
from station.domain.quantities import Measures, both_volumes, both_weights
from station.domain.storage import KEEPING, Keeping
from station.domain.sun import Place
from station.domain.warmth import BASE_C

DEFAULTS = Limits()


@dataclass(frozen=True, slots=True)
class Manner:
    """What pages need of the settings, worked out once.

    Args:
        zone: of local times.
        unit: of temperatures.
        limits: where conditions are raised.
        place: where the shelf is, or None.
        evening, drip_until: local times of straining and collecting.
        measures: in which amounts are read first.
        keeping: how long juice keeps.
        morning: local time at which quiet hours end; alerts put off "until morning" come back then.
        base_c: the base temperature from which warmth is told, °C.
    """

    zone: ZoneInfo
    unit: TempUnit = "C"
    limits: Limits = DEFAULTS
    place: Place | None = None
    evening: time = time(19, 0)
    drip_until: time = time(7, 0)
    measures: Measures = Measures.METRIC
    keeping: Keeping = KEEPING
    morning: time = time(6, 30)
    base_c: float = BASE_C

    def collect_at(self, strained_at: datetime) -> datetime:
        """Return when a jar strained at `strained_at` has dripped long enough: the next local `drip_until`."""
        local = strained_at.astimezone(self.zone)
        days = 1 if local.time() >= self.drip_until else 0
        return datetime.combine(local.date() + timedelta(days=days), self.drip_until, self.zone).astimezone(UTC)

    def volume(self, amount_ml: float) -> str:
        """Return a volume as this user reads it, with the other system behind it."""
        return both_volumes(amount_ml, self.measures)

    def weight(self, amount_g: float) -> str:
        """Return a weight as this user reads it, with the other system behind it."""
        return both_weights(amount_g, self.measures)


def manner_of(settings: Settings) -> Manner:
    """Return what pages need of the settings."""
    strain = settings.strain
    return Manner(
        settings.zone,
        settings.units.temperature,
        settings.limits.limits(),
        settings.place.known,
        strain.evening,
        strain.drip_until,
        Measures(settings.units.amounts),
        settings.keeping.keeping(),
        settings.quiet.until,
        strain.base_c,
    )
