"""What the station carries from minute to minute, and how its times move when the clock comes right. Pure."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from station.domain.alert import Alert
from station.domain.conditions import State
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.shelf import Shelf
from station.pace import Pace
from station.ports import Redating


@dataclass(frozen=True, slots=True)
class Memory:
    """What the station carries from minute to minute. It moves only after the commit.

    Args:
        shelf: the conditions.
        alerts: the open alerts.
        outlooks: one per jar on the shelf.
        untrusted_boot_at: the wall time of boot second 0 as this boot's untrusted readings were dated, or None.
        pace: what people were told lately.
        cleared: the last alert of each condition that cleared: it may go on.
    """

    shelf: Shelf = field(default_factory=Shelf)
    alerts: tuple[Alert, ...] = ()
    outlooks: tuple[Outlook, ...] = ()
    untrusted_boot_at: datetime | None = None
    pace: Pace = field(default_factory=Pace)
    cleared: tuple[Alert, ...] = ()


def redating_of(memory: Memory, reading: Reading) -> Redating | None:
    """Return how earlier times of this boot move, if the clock has come right with this reading."""
    if not reading.trusted or memory.untrusted_boot_at is None:
        return None
    boot_at = reading.measured_at - timedelta(seconds=reading.boot_s)
    return Redating(reading.boot_id, boot_at, (boot_at - memory.untrusted_boot_at).total_seconds())


def redated(memory: Memory, redating: Redating, boot_s: float) -> Memory:
    """Move the times that memory holds of this boot.

    Args:
        memory: with the times as they were thought to be.
        redating: by how much they were wrong.
        boot_s: the present, seconds since boot.
    """
    shift = timedelta(seconds=redating.shift_s)
    begun_at = redating.boot_at - shift
    boot = (begun_at, begun_at + timedelta(seconds=boot_s))
    states = tuple(_state_redated(state, boot, shift) for state in memory.shelf.states)
    alerts = tuple(_alert_redated(alert, redating.boot_id, shift) for alert in memory.alerts)
    cleared = tuple(_alert_redated(alert, redating.boot_id, shift) for alert in memory.cleared)
    return replace(memory, shelf=replace(memory.shelf, states=states), alerts=alerts, cleared=cleared)


def _state_redated(state: State, boot: tuple[datetime, datetime], shift: timedelta) -> State:
    """A condition that held before this boot began has its time from another."""
    if state.since_at is None or not boot[0] <= state.since_at <= boot[1]:
        return state
    return replace(state, since_at=state.since_at + shift)


def _alert_redated(alert: Alert, boot_id: str, shift: timedelta) -> Alert:
    if alert.trusted or alert.boot_id != boot_id:
        return alert
    return replace(
        alert,
        raised_at=alert.raised_at + shift,
        since_at=alert.since_at + shift,
        cleared_at=_shifted(alert.cleared_at, shift),
        acknowledged_at=_shifted(alert.acknowledged_at, shift),
        put_off_until_at=_shifted(alert.put_off_until_at, shift),
        notified_at=_shifted(alert.notified_at, shift),
        trusted=True,
    )


def _shifted(at: datetime | None, shift: timedelta) -> datetime | None:
    return None if at is None else at + shift
