"""The life of an alert: raised, acknowledged, put off, reminded, cleared. Pure steps; the daemon keeps the result."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, tzinfo

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import State
from station.domain.jars import Stage
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.ports import Answer

REMIND_AFTER = timedelta(hours=6)
LONGEST_PUT_OFF = timedelta(hours=24)
STRAIN_NOTICE = timedelta(hours=24)
"""A strain alert is raised the day before the evening."""
STRAIN_CALL = timedelta(hours=1)
"""On the day itself it calls again this long before the evening."""
STRAIN_SLACK = timedelta(hours=12)
"""It clears again only if the evening has moved this much beyond the notice."""
LOUD = frozenset({AlertKind.HOT, AlertKind.SILENT})
"""These reach a person in quiet hours too."""
MUTE = frozenset({AlertKind.BRIGHT})
"""These never notify; they only colour the verdict."""


class Happening(enum.StrEnum):
    """What happened to an alert."""

    RAISED = "raised"
    CLEARED = "cleared"
    ACKNOWLEDGED = "acknowledged"
    PUT_OFF = "put off"
    REMINDED = "reminded"


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that happened to one alert; `notify` when a person should hear of it now."""

    happening: Happening
    alert: Alert
    at: datetime
    notify: bool = False


@dataclass(frozen=True, slots=True)
class QuietHours:
    """Local hours, from one time of day until another, in which only loud alerts notify."""

    from_time: time
    until_time: time
    zone: tzinfo

    def cover(self, at: datetime) -> bool:
        """Whether `at` lies in the quiet hours."""
        local = at.astimezone(self.zone).time()
        if self.from_time <= self.until_time:
            return self.from_time <= local < self.until_time
        return local >= self.from_time or local < self.until_time


@dataclass(frozen=True, slots=True)
class Cause:
    """Something that should have an open alert now: a raised condition or an event of a jar."""

    kind: AlertKind
    jar_id: str
    since_at: datetime
    value: float | None = None
    peak: float | None = None
    again_after: datetime | None = None
    """Notify once more if the last notification is older than this."""


def condition_causes(states: Iterable[State], at: datetime) -> list[Cause]:
    """Return a cause for each raised condition."""
    return [
        Cause(AlertKind(state.kind.value), "", state.since_at or at, state.value, state.peak)
        for state in states
        if state.raised
    ]


def jar_causes(outlooks: Iterable[Outlook], open_alerts: Iterable[Alert], at: datetime) -> list[Cause]:
    """Return a cause for each jar that wants straining tomorrow or today, or is past ready."""
    open_strain = {alert.jar_id for alert in open_alerts if alert.kind is AlertKind.STRAIN}
    return [cause for outlook in outlooks for cause in _jar_cause(outlook, outlook.jar_id in open_strain, at)]


def _jar_cause(outlook: Outlook, strain_open: bool, at: datetime) -> list[Cause]:  # noqa: FBT001
    if outlook.stage is Stage.PAST_READY:
        return [Cause(AlertKind.PAST_READY, outlook.jar_id, at)]
    evening_at = outlook.evening_at
    if evening_at is None or outlook.stage not in (Stage.WORKING, Stage.READY):
        return []
    notice = STRAIN_NOTICE + (STRAIN_SLACK if strain_open else timedelta())
    if evening_at - at > notice:
        return []
    call_at = evening_at - STRAIN_CALL
    return [Cause(AlertKind.STRAIN, outlook.jar_id, at, evening_at.timestamp(), again_after=call_at)]


@dataclass(frozen=True, slots=True)
class Step:
    """The outcome of one minute: the alerts still open, and what happened."""

    open_alerts: tuple[Alert, ...]
    changes: tuple[Change, ...]


def stepped(
    open_alerts: tuple[Alert, ...], causes: list[Cause], answers: Iterable[Answer], reading: Reading, quiet: QuietHours
) -> Step:
    """Take all alerts one minute further.

    Args:
        open_alerts: the alerts that were open.
        causes: what should be open now.
        answers: what people did; those already taken in change nothing.
        reading: the minute, for its time, boot and trust.
        quiet: the quiet hours.
    """
    at = reading.measured_at
    wanted = {(cause.kind, cause.jar_id): cause for cause in causes}
    answered, changes = _answered(open_alerts, answers, at)
    kept: list[Alert] = []
    for alert in answered:
        cause = wanted.pop((alert.kind, alert.jar_id), None)
        if cause is None:
            changes.append(Change(Happening.CLEARED, replace(alert, cleared_at=at), at))
            continue
        alert, change = _reminded(replace(alert, peak=cause.peak), cause, at, quiet)
        kept.append(alert)
        changes.extend(change)
    for cause in wanted.values():
        alert, raised = _raised(cause, reading, quiet)
        kept.append(alert)
        changes.append(raised)
    return Step(tuple(kept), tuple(changes))


def _raised(cause: Cause, reading: Reading, quiet: QuietHours) -> tuple[Alert, Change]:
    at = reading.measured_at
    notify = cause.kind not in MUTE and (cause.kind in LOUD or not quiet.cover(at))
    of = f"-{cause.jar_id}" if cause.jar_id else ""
    alert = Alert(
        id=f"{cause.kind}{of}-{reading.boot_id[:8]}-{reading.boot_s:.0f}",
        kind=cause.kind,
        raised_at=at,
        since_at=cause.since_at,
        jar_id=cause.jar_id,
        value=cause.value,
        peak=cause.peak,
        notified_at=at if notify else None,
        boot_id=reading.boot_id,
        trusted=reading.trusted,
    )
    return alert, Change(Happening.RAISED, alert, at, notify)


def _reminded(alert: Alert, cause: Cause, at: datetime, quiet: QuietHours) -> tuple[Alert, list[Change]]:
    """Notify of an open alert again when its time has come."""
    if not _due(alert, cause, at) or (quiet.cover(at) and alert.kind not in LOUD):
        return alert, []
    alert = replace(alert, notified_at=at, put_off_until_at=None)
    return alert, [Change(Happening.REMINDED, alert, at, notify=True)]


def _due(alert: Alert, cause: Cause, at: datetime) -> bool:
    if alert.kind in MUTE or (alert.put_off_until_at is not None and at < alert.put_off_until_at):
        return False
    if alert.notified_at is None:
        return alert.acknowledged_at is None  # held back by the quiet hours
    if cause.again_after is not None and alert.notified_at < cause.again_after <= at:
        return True
    if alert.acknowledged_at is not None:
        return False
    return at - alert.notified_at >= REMIND_AFTER or alert.put_off_until_at is not None


def _answered(
    open_alerts: tuple[Alert, ...], answers: Iterable[Answer], at: datetime
) -> tuple[list[Alert], list[Change]]:
    """Put people's answers into the alerts they are about."""
    by_id = {alert.id: alert for alert in open_alerts}
    changes: list[Change] = []
    for answer in answers:
        alert = by_id.get(answer.alert_id)
        if alert is None or not _is_news(alert, answer, at):
            continue
        if answer.until_at is None:
            alert, happening = replace(alert, acknowledged_at=answer.at), Happening.ACKNOWLEDGED
        else:
            until_at = min(answer.until_at, answer.at + LONGEST_PUT_OFF)
            alert, happening = replace(alert, put_off_until_at=until_at), Happening.PUT_OFF
        by_id[alert.id] = alert
        changes.append(Change(happening, alert, at))
    return list(by_id.values()), changes


def _is_news(alert: Alert, answer: Answer, at: datetime) -> bool:
    """Whether an answer has not been taken in yet: answers are read again every minute and after a restart."""
    if answer.until_at is None:
        return alert.acknowledged_at is None or alert.acknowledged_at < answer.at
    until_at = min(answer.until_at, answer.at + LONGEST_PUT_OFF)
    return at < until_at and (alert.put_off_until_at is None or alert.put_off_until_at < until_at)
