"""What needs doing at the jars, in order."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from dashboard.views.jars import days_old, stage_of
from dashboard.views.manner import Manner
from station.domain.jars import Jar, Stage
from station.domain.observations import must_discard
from station.domain.outlook import Outlook
from station.domain.sentences import clock_text, seen_from

LOOK_FROM_DAYS, LOOK_UNTIL_DAYS = 0.15, 1.5
"""First juice comes within hours (common practice): when somebody should look for it."""


class Urgency(enum.IntEnum):
    """How soon something is to be done, the most urgent first."""

    NOW = 0
    TODAY = 1
    TOMORROW = 2
    LATER = 3


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do at one jar."""

    urgency: Urgency
    text: str
    jar_id: str


def todos(jars: Iterable[tuple[Jar, Outlook | None]], now_at: datetime, manner: Manner) -> tuple[Todo, ...]:
    """Return what needs doing, the most urgent first.

    Args:
        jars: those on the shelf or draining, each with what the station thinks of it.
        now_at: when it is read.
        manner: zone and evenings.
    """
    found = [_todo(jar, outlook, now_at, manner) for jar, outlook in jars]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.urgency))


def _todo(jar: Jar, outlook: Outlook | None, now_at: datetime, manner: Manner) -> Todo | None:
    stands = stage_of(jar, outlook, now_at)
    if stands is Stage.DRAINING and jar.strained_at is not None:
        return _collect(jar, jar.strained_at, now_at, manner)
    if not jar.on_shelf:
        return None
    if discard := must_discard(jar.notes, jar.packing.preparation):
        return Todo(Urgency.NOW, f"Discard the whole jar of {jar.plant}. {discard[0].text}", jar.id)
    if stands is Stage.PAST_READY:
        return Todo(Urgency.TODAY, f"Strain {jar.plant} today: it is past ready.", jar.id)
    return _strain(jar, stands, outlook, now_at, manner) or _look(jar, now_at)


def _collect(jar: Jar, strained_at: datetime, now_at: datetime, manner: Manner) -> Todo:
    collect_at = manner.collect_at(strained_at)
    if now_at >= collect_at:
        return Todo(Urgency.NOW, f"Collect the juice of {jar.plant} and bottle it: lid loose, a third empty.", jar.id)
    when = seen_from(collect_at, now_at, manner.zone)
    return Todo(Urgency.LATER, f"Let {jar.plant} drip until {when}. No squeezing.", jar.id)


def _strain(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime, manner: Manner) -> Todo | None:
    evening_at = jar.due_at or (outlook.evening_at if outlook else None)
    if evening_at is None:
        ready = stands is Stage.READY
        return Todo(Urgency.TODAY, f"Strain {jar.plant} this evening: it is ready.", jar.id) if ready else None
    days = (evening_at.astimezone(manner.zone).date() - now_at.astimezone(manner.zone).date()).days
    clock = clock_text(evening_at, manner.zone)
    if days <= 0:
        return Todo(Urgency.TODAY, f"Strain {jar.plant} this evening at {clock}; let it drip overnight.", jar.id)
    if days == 1:
        text = f"Tomorrow at {clock}: strain {jar.plant}. Have a clean cloth, a bowl and bottles ready."
        return Todo(Urgency.TOMORROW, text, jar.id)
    return None


def _look(jar: Jar, now_at: datetime) -> Todo | None:
    if jar.notes or not LOOK_FROM_DAYS <= days_old(jar, now_at) <= LOOK_UNTIL_DAYS:
        return None
    return Todo(Urgency.LATER, f"Look into {jar.plant}: the first juice shows within hours. Note what you see.", jar.id)
