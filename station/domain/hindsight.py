"""A stretch that was played again, in words: what was foreseen then, and what is known in hindsight."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime, tzinfo

from station.domain.alert import Alert
from station.domain.conditions import Kind
from station.domain.figures import TempUnit, number_text
from station.domain.moments import moment_text
from station.domain.outlook import Outlook
from station.domain.sentences import alert_name, alert_sentence

LEAST_APART_H = 0.5
"""Hours under a condition that lie nearer than this are not told apart."""


def played_sentence(
    alert: Alert,
    foreseen_at: datetime | None,
    zone: tzinfo,
    unit: TempUnit,
    plant: str = "",
    now_at: datetime | None = None,
) -> str:
    """Say what a played alert is about; a strain alert names the evening that was foreseen when it was raised.

    Args:
        alert, zone, unit, plant, now_at: as for `alert_sentence`.
        foreseen_at: the evening that it named when it was raised, if it is a strain alert.
    """
    last_at = alert.evening_at
    if foreseen_at is None or last_at is None or foreseen_at == last_at:
        return alert_sentence(alert, zone, unit, plant, now_at)
    said = alert_sentence(replace(alert, value=foreseen_at.timestamp()), zone, unit, plant, now_at)
    return f"{said} So it was foreseen then; left standing, it moved on to {moment_text(last_at, zone)}."


def ready_in_hindsight(ready_at: datetime, zone: tzinfo) -> str:
    """Return when a jar's warmth reached its likely need: "Sat 23 May 04:39 in hindsight"."""
    return f"{moment_text(ready_at, zone)} in hindsight"


def evening_foreseen(outlook: Outlook, came_at: datetime | None, zone: tzinfo) -> str:
    """Return the evening on which to strain a played jar, "Sat 23 May 19:00 as foreseen then"; "" where there was none.

    Args:
        outlook: the jar's last.
        came_at: the first evening proposed whose time came, or None if none did.
        zone: of local times.
    """
    next_at = outlook.evening_at
    if came_at is None:
        return "" if next_at is None else moment_text(next_at, zone)
    moved = f"; left standing, {moment_text(next_at, zone)}" if next_at is not None and next_at != came_at else ""
    return f"{moment_text(came_at, zone)} as foreseen then{moved}"


def alerts_apart(before: Iterable[Alert], after: Iterable[Alert]) -> str:
    """Say which alerts came and which went: "1 more: too cold; 1 fewer: due for straining"; "" where none did."""
    had, has = (Counter(alert_name(alert.kind).lower() for alert in alerts) for alerts in (before, after))
    return "; ".join([*_counted(has - had, "more"), *_counted(had - has, "fewer")])


def _counted(found: Counter[str], word: str) -> Iterator[str]:
    return (f"{count} {word}: {name}" for name, count in found.items())


def hours_apart(before: dict[Kind, float], after: dict[Kind, float]) -> Iterator[str]:
    """Yield how much longer or shorter each condition held, what matters first: "cold for 157 h instead of 0 h"."""
    for kind in Kind:
        had_h, has_h = before.get(kind, 0.0), after.get(kind, 0.0)
        if abs(has_h - had_h) >= LEAST_APART_H:
            yield f"{kind} for {_hours(has_h)} instead of {_hours(had_h)}"


def _hours(hours: float) -> str:
    return f"{number_text(hours, 1 if 0.05 <= hours < 9.95 else 0)} h"
