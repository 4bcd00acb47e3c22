"""What is shown of alerts, and of the ways on which they reach people."""

import enum
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from dashboard.views.manner import Manner
from station.domain.alert import Alert, AlertKind, next_morning
from station.domain.dates import in_known_years
from station.domain.moments import age_text, seen_from
from station.domain.sentences import alert_sentence
from station.domain.way import Way, WayState
from station.ports import Answer


class Choice(enum.StrEnum):
    """What a person may do about an open alert."""

    ACKNOWLEDGE = "acknowledge"
    SOON = "soon"
    LATER = "later"
    MORNING = "morning"
    TAKE_BACK = "take-back"
    """An acknowledgement was a slip."""

    def until_at(self, now_at: datetime, manner: Manner) -> datetime | None:
        """Return until when the alert is put off; None where nothing is put off."""
        if self in (Choice.ACKNOWLEDGE, Choice.TAKE_BACK):
            return None
        if self is Choice.MORNING:
            return next_morning(now_at, manner.morning, manner.zone)
        return now_at + (SOON if self is Choice.SOON else LATER)


SOON, LATER = timedelta(hours=2), timedelta(hours=6)
CHOICES = (
    (Choice.ACKNOWLEDGE, "Acknowledge"),
    (Choice.SOON, "Put off 2 h"),
    (Choice.LATER, "Put off 6 h"),
    (Choice.MORNING, "Put off until morning"),
)
ACKNOWLEDGED = ((Choice.TAKE_BACK, "Take that back"),)
"""What can be done about what was acknowledged."""
BRIEFLY = (CHOICES[0], CHOICES[-1])
"""What the first page offers."""


@dataclass(frozen=True, slots=True)
class AlertLine:
    """One alert: its sentence, and what was done about it."""

    id: str
    kind: str
    text: str
    done: str
    open: bool
    jar_id: str
    asks: bool = False
    """Whether a person has not acknowledged it yet."""


@dataclass(frozen=True, slots=True)
class WayLine:
    """A way to people or programs: how it is doing, in words."""

    name: str
    state: str
    text: str
    remedy: str
    facts: str


@dataclass(frozen=True, slots=True)
class Month:
    """A month of past alerts: its name, and those before and after it, written as 2026-05."""

    name: str
    since_at: datetime
    until_at: datetime
    earlier: str
    later: str


def alert_lines(
    alerts: Iterable[Alert], plants: Mapping[str, str], now_at: datetime, manner: Manner
) -> tuple[AlertLine, ...]:
    """Return alerts as lines, in their order; `bright` is left out, because nobody needs to act on it."""
    return tuple(
        AlertLine(
            alert.id,
            str(alert.kind),
            alert_sentence(alert, manner.zone, manner.unit, plants.get(alert.jar_id, ""), now_at),
            _done(alert, now_at, manner),
            alert.open,
            alert.jar_id,
            alert.open and alert.acknowledged_at is None,
        )
        for alert in alerts
        if alert.kind is not AlertKind.BRIGHT
    )


def answered(alerts: Iterable[Alert], answers: Iterable[Answer]) -> list[Alert]:
    """Return alerts as they are once the station hears of the answers, which takes it a minute at most."""
    latest = {answer.alert_id: answer for answer in answers}
    return [_answered(alert, latest.get(alert.id)) for alert in alerts]


def _answered(alert: Alert, answer: Answer | None) -> Alert:
    if answer is None or not alert.open:
        return alert
    if answer.takes_back:
        return replace(alert, acknowledged_at=None)
    if alert.acknowledged_at is not None:
        return alert
    if answer.until_at is None:
        return replace(alert, acknowledged_at=answer.at)
    return replace(alert, put_off_until_at=answer.until_at)


def _done(alert: Alert, now_at: datetime, manner: Manner) -> str:
    """Say what a person did about it."""
    if alert.acknowledged_at is not None:
        return f"acknowledged {seen_from(alert.acknowledged_at, now_at, manner.zone)}"
    if alert.open and alert.put_off_until_at is not None and alert.put_off_until_at > now_at:
        return f"put off until {seen_from(alert.put_off_until_at, now_at, manner.zone)}"
    return ""


def month_of(text: str, now_at: datetime, manner: Manner) -> Month:
    """Return the month that an address names, such as 2026-05; the present one where it names none.

    Args:
        text: as in the address.
        now_at: the present, aware.
        manner: the zone of local months.
    """
    present = now_at.astimezone(manner.zone).date().replace(day=1)
    first = min(_first_day(text) or present, present)
    following = _next(first)
    ends = [datetime.combine(day, time(0), manner.zone) for day in (first, following)]
    earlier = (first - timedelta(days=1)).replace(day=1)
    later = f"{following:%Y-%m}" if following <= present else ""
    return Month(f"{_MONTHS[first.month - 1]} {first.year}", ends[0], ends[1], f"{earlier:%Y-%m}", later)


def _first_day(text: str) -> date | None:
    try:
        day = date.fromisoformat(f"{text}-01")
    except ValueError:
        return None
    return day if in_known_years(day) else None


_MONTHS = (
    "January February March April May June July August September October November December".split()  # noqa: SIM905
)


def _next(first: date) -> date:
    return (first + timedelta(days=31)).replace(day=1)


def way_lines(ways: Iterable[Way], now_at: datetime) -> tuple[WayLine, ...]:
    """Return the ways to people and programs that are set up as lines."""
    return tuple(
        WayLine(way.name, str(way.state), way.line, way.remedy, _facts(way, now_at))
        for way in ways
        if way.state is not WayState.OFF
    )


def tested_lines(ways: Iterable[Way], now_at: datetime) -> tuple[WayLine, ...]:
    """Return what became of a test on each way as lines: what was delivered before it is told of the way itself."""
    return tuple(replace(line, facts="") for line in way_lines(ways, now_at))


def _facts(way: Way, now_at: datetime) -> str:
    last = "nothing delivered yet"
    if way.delivered_at is not None:
        last = f"last delivered {age_text(max(now_at - way.delivered_at, timedelta(0)))}"
    test = " (a test)" if way.by_test else ""
    waiting = f"; {way.waiting} waiting" if way.waiting else ""
    return last + test + waiting
