"""The life of an alert: raised, acknowledged, put off, reminded, cleared. Pure steps; the daemon keeps the result."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, tzinfo

from station.causes import Cause
from station.domain.alert import Alert, AlertKind
from station.domain.readings import Reading
from station.ports import Answer

REMIND_AFTER = timedelta(hours=6)
AGAIN_WITHIN = timedelta(hours=3)
"""A condition that is raised again so soon after it cleared is the same one with a break, not a new one.

Sun moves on through a window in three to six hours, and the clouds of such an afternoon last from minutes to two hours;
a room that was aired is warm again within as long. The next day's sun comes after a night of more than three hours, and
counts anew. What a person said about the one before holds on. What nobody answered is not told a second time within
this time of the first; if it then still holds, or comes once more, it is told again. So of what comes and goes a person
hears once in three hours at most, and never waits longer than that for news of a jar in the sun.
"""
LONGEST_PUT_OFF = timedelta(hours=24)
LOUD = frozenset({AlertKind.HOT, AlertKind.SILENT})
"""These reach a person in quiet hours too."""
MUTE = frozenset({AlertKind.BRIGHT})
"""These never notify; they only colour the verdict."""
GENTLE = MUTE | {AlertKind.NO_JUICE}
"""These leave lamp and buzzer in peace."""
ONCE = frozenset({AlertKind.STRAIN, AlertKind.NO_JUICE})
"""These do not remind: straining is called for the day before and on the evening, and a question is asked gently."""


class Happening(enum.StrEnum):
    """What happened to an alert."""

    RAISED = "raised"
    CLEARED = "cleared"
    ACKNOWLEDGED = "acknowledged"
    TAKEN_BACK = "taken back"
    """An acknowledgement was: it reminds again."""
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
class Step:
    """The outcome of one minute: the alerts still open, what happened, and the last of each condition that cleared."""

    open_alerts: tuple[Alert, ...]
    changes: tuple[Change, ...]
    cleared: tuple[Alert, ...] = ()


def stepped(
    open_alerts: tuple[Alert, ...],
    causes: list[Cause],
    answers: Iterable[Answer],
    reading: Reading,
    quiet: QuietHours,
    cleared: tuple[Alert, ...] = (),
) -> Step:
    """Take all alerts one minute further.

    Args:
        open_alerts: the alerts that were open.
        causes: what should be open now.
        answers: what people did; those already taken in change nothing.
        reading: the minute, for its time, boot and trust.
        quiet: the quiet hours.
        cleared: the last alert of each condition that cleared, as the step before gave it.
    """
    at = reading.measured_at
    wanted = {(cause.kind, cause.jar_id): cause for cause in causes}
    heed = _Heed(at, quiet.cover(at), (AlertKind.SILENT, "") in wanted)
    answered, changes = _answered(open_alerts, answers, at)
    kept: list[Alert] = []
    for alert in answered:
        cause = wanted.pop((alert.kind, alert.jar_id), None)
        if cause is None:
            changes.append(Change(Happening.CLEARED, replace(alert, cleared_at=at), at))
            continue
        alert, change = _reminded(_as_now(alert, cause, reading), cause, heed)
        kept.append(alert)
        changes.extend(change)
    before = {alert.kind: alert for alert in cleared}
    for cause in wanted.values():
        alert, raised = _raised(cause, reading, heed, _same(before.get(cause.kind), cause, reading))
        kept.append(alert)
        changes.append(raised)
    over = [change.alert for change in changes if change.happening is Happening.CLEARED and not change.alert.jar_id]
    return Step(tuple(kept), tuple(changes), tuple((before | {alert.kind: alert for alert in over}).values()))


def _same(cleared: Alert | None, cause: Cause, reading: Reading) -> Alert | None:
    """Return the alert that goes on with this cause after a break; None where it is a new one.

    Times of a clock that is right and of one that is not cannot be compared: then it is new.
    """
    if cleared is None or cleared.cleared_at is None or cause.jar_id or cleared.trusted is not reading.trusted:
        return None
    return cleared if timedelta(0) <= reading.measured_at - cleared.cleared_at < AGAIN_WITHIN else None


@dataclass(frozen=True, slots=True)
class _Heed:
    """Who may be told of what now.

    Args:
        at: the present.
        quiet: whether these are quiet hours.
        silent: whether nothing is measured: nobody then knows how the other conditions stand.
    """

    at: datetime
    quiet: bool
    silent: bool

    def allows(self, kind: AlertKind) -> bool:
        """Whether an alert of this kind may notify."""
        follows = self.silent and kind.condition is not None and kind is not AlertKind.SILENT
        return kind not in MUTE and not follows and (kind in LOUD or not self.quiet)


def held_back(open_alerts: Iterable[Alert], quiet: QuietHours, at: datetime) -> int:
    """Return of how many open alerts nobody has been told because of the quiet hours.

    Args:
        open_alerts: the open alerts.
        quiet: the quiet hours.
        at: the present, aware.
    """
    if not quiet.cover(at):
        return 0
    alerts = tuple(open_alerts)
    by_day = _Heed(at, quiet=False, silent=any(alert.kind is AlertKind.SILENT for alert in alerts))
    waiting = (one for one in alerts if by_day.allows(one.kind) and one.kind not in LOUD)
    return sum(one.notified_at is None and not _known(one, at) for one in waiting)


def _raised(cause: Cause, reading: Reading, heed: _Heed, same: Alert | None) -> tuple[Alert, Change]:
    """Raise an alert; one that goes on after a break begins as it was left."""
    at = reading.measured_at
    known = same is not None and _known(same, at)
    notify = heed.allows(cause.kind) and not known
    told_at = same.notified_at if same is not None and known else None
    of = f"-{cause.jar_id}" if cause.jar_id else ""
    alert = Alert(
        id=f"{cause.kind}{of}-{reading.boot_id[:8]}-{reading.boot_s:.0f}",
        kind=cause.kind,
        raised_at=at,
        since_at=cause.since_at,
        jar_id=cause.jar_id,
        value=cause.value,
        peak=cause.peak,
        acknowledged_at=same.acknowledged_at if same is not None else None,
        put_off_until_at=same.put_off_until_at if same is not None and known else None,
        notified_at=at if notify else told_at,
        boot_id=reading.boot_id,
        trusted=reading.trusted,
    )
    return alert, Change(Happening.RAISED, alert, at, notify)


def _known(alert: Alert, at: datetime) -> bool:
    """Whether a person need not hear now that this alert goes on: they answered it, or were told a short while ago.

    One that was put off is due when that ends, whenever it was told. A clock that was set back since is no reason for
    silence.
    """
    if alert.acknowledged_at is not None:
        return True
    if alert.put_off_until_at is not None:
        return at < alert.put_off_until_at
    return alert.notified_at is not None and timedelta(0) <= at - alert.notified_at < AGAIN_WITHIN


def _as_now(alert: Alert, cause: Cause, reading: Reading) -> Alert:
    """Return the alert with its worst value so far; of a strain alert with its evening, which moves with the warmth.

    What was told by a clock that was set back since was told by now at the latest.
    """
    value = cause.value if alert.kind is AlertKind.STRAIN else alert.value
    told_at = alert.notified_at
    if told_at is not None and reading.trusted:
        told_at = min(told_at, reading.measured_at)
    return replace(alert, peak=cause.peak, value=value, notified_at=told_at)


def _reminded(alert: Alert, cause: Cause, heed: _Heed) -> tuple[Alert, list[Change]]:
    """Notify of an open alert again when its time has come."""
    at = heed.at
    if not heed.allows(alert.kind) or not _due(alert, cause, at):
        return alert, []
    alert = replace(alert, notified_at=at, put_off_until_at=None)
    return alert, [Change(Happening.REMINDED, alert, at, notify=True)]


def _due(alert: Alert, cause: Cause, at: datetime) -> bool:
    if alert.put_off_until_at is not None and at < alert.put_off_until_at:
        return False
    known_at = alert.notified_at or alert.acknowledged_at
    if known_at is None:
        return True  # held back by the quiet hours
    if cause.again_after is not None and known_at < cause.again_after <= at:
        return True
    if alert.acknowledged_at is not None:
        return False
    if alert.kind in ONCE and alert.put_off_until_at is None:
        return False
    wait = AGAIN_WITHIN if alert.again and alert.raised_at <= at else REMIND_AFTER  # else the clock was set back
    return at - known_at >= wait or alert.put_off_until_at is not None


def _answered(
    open_alerts: tuple[Alert, ...], answers: Iterable[Answer], at: datetime
) -> tuple[list[Alert], list[Change]]:
    """Put people's answers into the alerts they are about: of each alert the latest of either kind.

    To acknowledge and to take that back is one kind, to put off the other.
    """
    by_id = {alert.id: alert for alert in open_alerts}
    changes: list[Change] = []
    for answer in {(one.alert_id, one.until_at is None or one.takes_back): one for one in answers}.values():
        alert, until_at = by_id.get(answer.alert_id), _until_at(answer)
        if alert is None or not _is_news(alert, answer, until_at, at):
            continue
        if answer.takes_back:
            alert, happening = replace(alert, acknowledged_at=None), Happening.TAKEN_BACK
        elif until_at is None:
            alert, happening = replace(alert, acknowledged_at=answer.at), Happening.ACKNOWLEDGED
        else:
            alert, happening = replace(alert, put_off_until_at=until_at), Happening.PUT_OFF
        by_id[alert.id] = alert
        changes.append(Change(happening, alert, at))
    return list(by_id.values()), changes


def _until_at(answer: Answer) -> datetime | None:
    return None if answer.until_at is None else min(answer.until_at, answer.at + LONGEST_PUT_OFF)


def _is_news(alert: Alert, answer: Answer, until_at: datetime | None, at: datetime) -> bool:
    """Whether an answer has not been taken in yet: answers are read again every minute and after a restart.

    A delay that by this clock was not asked for yet is of a moment ago, or was taken in before the clock was set back.
    """
    if answer.takes_back:
        return alert.acknowledged_at is not None
    if until_at is None:
        return alert.acknowledged_at is None
    return answer.at <= at < until_at != alert.put_off_until_at
