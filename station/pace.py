"""How much a person is told at once: more than five notifications in ten minutes become one summary. Pure."""

from dataclasses import dataclass, replace

from station.alerts import Happening, Step
from station.domain.alert import Alert

MOST = 5
WINDOW_S = 600.0


@dataclass(frozen=True, slots=True)
class Pace:
    """What a person was told lately.

    Args:
        told_s: when notifications went out, in seconds since boot; a summary counts as one.
        summary_s: when the last summary went out, or None.
    """

    told_s: tuple[float, ...] = ()
    summary_s: float | None = None


@dataclass(frozen=True, slots=True)
class Paced:
    """A minute's step as far as it may be told now, and the pace after it.

    Args:
        step: what happened; what is held back is due again at the next minute.
        pace: to be handed in with the next step.
        summary: whether what is to be told goes out as one summary.
    """

    step: Step
    pace: Pace
    summary: bool = False


def paced(step: Step, before: tuple[Alert, ...], pace: Pace, boot_s: float) -> Paced:
    """Hold back or sum up what would be too much.

    Args:
        step: one minute of the alerts.
        before: the open alerts before it.
        pace: what was told lately.
        boot_s: the minute's end, seconds since boot.
    """
    wanted = sum(change.notify for change in step.changes)
    if not wanted:
        return Paced(step, pace)
    if pace.summary_s is not None and 0.0 <= boot_s - pace.summary_s < WINDOW_S:
        return Paced(_held_back(step, before), pace)
    lately = tuple(told_s for told_s in pace.told_s if 0.0 <= boot_s - told_s < WINDOW_S)
    if len(lately) + wanted > MOST:
        return Paced(step, Pace((*lately, boot_s), boot_s), summary=True)
    return Paced(step, Pace((*lately, *(boot_s,) * wanted), pace.summary_s))


def _held_back(step: Step, before: tuple[Alert, ...]) -> Step:
    """Return the step with nobody told: the alerts wait as they do in quiet hours."""
    known = {alert.id: alert for alert in before}
    told = {change.alert.id for change in step.changes if change.notify}
    alerts = tuple(_untold(alert, known.get(alert.id)) if alert.id in told else alert for alert in step.open_alerts)
    by_id = {alert.id: alert for alert in alerts}
    changes = tuple(
        replace(change, alert=by_id.get(change.alert.id, change.alert), notify=False)
        for change in step.changes
        if change.happening is not Happening.REMINDED
    )
    return replace(step, open_alerts=alerts, changes=changes)


def _untold(alert: Alert, before: Alert | None) -> Alert:
    if before is None:
        return replace(alert, notified_at=None)
    return replace(alert, notified_at=before.notified_at, put_off_until_at=before.put_off_until_at)
