"""What is shown of alerts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from dashboard.views.manner import Manner
from station.domain.alert import Alert, AlertKind
from station.domain.sentences import alert_sentence, seen_from


@dataclass(frozen=True, slots=True)
class AlertLine:
    """One alert: its sentence, and what was done about it."""

    id: str
    kind: str
    text: str
    done: str
    open: bool
    jar_id: str


@dataclass(frozen=True, slots=True)
class AlertsView:
    """The alerts page: the open ones and the latest of the past, the newest first."""

    open: tuple[AlertLine, ...]
    past: tuple[AlertLine, ...]


def alerts_view(alerts: Iterable[Alert], plants: Mapping[str, str], now_at: datetime, manner: Manner) -> AlertsView:
    """Return the alerts page; `plants` gives the plant of each jar's id."""
    lines = alert_lines(alerts, plants, now_at, manner)
    return AlertsView(tuple(line for line in lines if line.open), tuple(line for line in lines if not line.open))


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
        )
        for alert in alerts
        if alert.kind is not AlertKind.BRIGHT
    )


def _done(alert: Alert, now_at: datetime, manner: Manner) -> str:
    """Say what a person did about it."""
    if alert.acknowledged_at is not None:
        return f"seen {seen_from(alert.acknowledged_at, now_at, manner.zone)}"
    if alert.open and alert.put_off_until_at is not None and alert.put_off_until_at > now_at:
        return f"put off until {seen_from(alert.put_off_until_at, now_at, manner.zone)}"
    return ""
