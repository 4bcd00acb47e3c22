"""An alert: a condition of the shelf or an event of a jar that needs a person."""

import enum
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from station.domain.conditions import Kind


class AlertKind(enum.StrEnum):
    """What an alert is about: the six conditions of the shelf, then the events of a jar."""

    SILENT = "silent"
    SUN = "sun"
    HOT = "hot"
    COLD = "cold"
    DAMP = "damp"
    BRIGHT = "bright"
    STRAIN = "strain"
    PAST_READY = "past-ready"
    NO_JUICE = "no-juice"
    COVER = "cover"

    @property
    def condition(self) -> Kind | None:
        """The condition it is about, or None for an event of a jar."""
        return _CONDITIONS.get(self.value)

    @property
    def unit(self) -> str | None:
        """The unit of its value (see `Kind.unit`), or None where the value is nothing that was measured."""
        return None if self.condition is None else self.condition.unit


_CONDITIONS = {kind.value: kind for kind in Kind}


@dataclass(frozen=True, slots=True)
class Alert:
    """One alert, open until `cleared_at`.

    Args:
        id: unique and stable; the same in the shelf log, in messages and on pages.
        kind: what it is about.
        raised_at: when it was raised, aware UTC.
        since_at: when its cause began.
        jar_id: the jar, or "" for the shelf.
        value: the value that raised it, in the kind's own unit, or None.
        peak: the worst value so far.
        cleared_at: when it cleared, or None while it is open.
        acknowledged_at: when a person took note of it.
        put_off_until_at: until when a person put it off.
        notified_at: when it last went out to people; None if it never did.
        boot_id: the boot in which it was raised.
        trusted: whether its times are known to be right.
    """

    id: str
    kind: AlertKind
    raised_at: datetime
    since_at: datetime
    jar_id: str = ""
    value: float | None = None
    peak: float | None = None
    cleared_at: datetime | None = None
    acknowledged_at: datetime | None = None
    put_off_until_at: datetime | None = None
    notified_at: datetime | None = None
    boot_id: str = ""
    trusted: bool = True

    @property
    def open(self) -> bool:
        """Whether it still holds."""
        return self.cleared_at is None

    @property
    def again(self) -> bool:
        """Whether it goes on after a break: a person knew of it before it was raised."""
        known_at = [at for at in (self.acknowledged_at, self.notified_at) if at is not None]
        return bool(known_at) and min(known_at) < self.raised_at

    @property
    def evening_at(self) -> datetime | None:
        """The evening that a strain alert calls for, as it was last foreseen; None where it names none."""
        if self.kind is not AlertKind.STRAIN or self.value is None:
            return None
        return datetime.fromtimestamp(self.value, UTC)


def next_morning(at: datetime, morning: time, zone: ZoneInfo) -> datetime:
    """Return the next time after `at` (aware) at which it is `morning` in `zone`."""
    local = at.astimezone(zone)
    today = local.replace(hour=morning.hour, minute=morning.minute, second=0, microsecond=0)
    found = today if today > local else (today.replace(tzinfo=None) + timedelta(days=1)).replace(tzinfo=zone)
    return found.astimezone(at.tzinfo)
