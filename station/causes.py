"""What ought to have an open alert: raised conditions of the shelf, and events of the jars. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import State
from station.domain.jars import Jar, Stage
from station.domain.outlook import Outlook
from station.domain.packing import Cover
from station.domain.preparations import Preparation
from station.domain.signs import Sign, question

STRAIN_NOTICE = timedelta(hours=24)
"""A strain alert is raised the day before the evening."""
STRAIN_CALL = timedelta(hours=1)
"""On the day itself it calls again this long before the evening."""
STRAIN_SLACK = timedelta(hours=12)
"""It clears again only if the evening has moved this much beyond the notice."""


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
    return [cause for outlook in outlooks for cause in _strain_cause(outlook, outlook.jar_id in open_strain, at)]


def _strain_cause(outlook: Outlook, strain_open: bool, at: datetime) -> list[Cause]:  # noqa: FBT001
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


def held_causes(open_alerts: Iterable[Alert], jars: Mapping[str, Jar], at: datetime) -> list[Cause]:
    """Return a cause for each open alert about a jar that by this clock is not packed yet.

    The clock was set back, as by a power cut, and nothing is known of the jar until it is right: its alerts stay.
    """
    return [
        Cause(alert.kind, alert.jar_id, alert.since_at, alert.value, alert.peak)
        for alert in open_alerts
        if (jar := jars.get(alert.jar_id)) is not None and jar.on_shelf and jar.packed_at > at
    ]


def care_causes(jars: Iterable[Jar], outlooks: Iterable[Outlook], at: datetime) -> list[Cause]:
    """Return a cause for each jar on the shelf whose cover is tight, or at whose juice somebody ought to look.

    Args:
        jars: as the notebook tells them; an answer there, such as a look at the jar, ends the question.
        outlooks: for the temperatures they stand at.
        at: the present.
    """
    temps = {outlook.jar_id: outlook.heat.temp_c for outlook in outlooks}
    return [cause for jar in jars if jar.on_shelf and jar.id in temps for cause in _care(jar, temps[jar.id], at)]


def _care(jar: Jar, temp_c: float | None, at: datetime) -> list[Cause]:
    found = []
    if jar.packing.cover is Cover.TIGHT_LID:
        found.append(Cause(AlertKind.COVER, jar.id, jar.covered_at))
    if jar.packing.preparation is Preparation.FERMENT:
        asked = question(jar.packed_at, temp_c, jar.notes, at)
        if asked is not None and asked.sign is Sign.JUICE:
            found.append(Cause(AlertKind.NO_JUICE, jar.id, asked.due_at))
    return found
