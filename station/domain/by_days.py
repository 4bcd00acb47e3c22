"""A jar that goes by days and not by warmth: what is to be thought of it."""

from dataclasses import replace
from datetime import datetime, timedelta

from station.domain.evening import EveningRule, evenings, still_on
from station.domain.jars import Jar, stage
from station.domain.outlook import Outlook

_HALF_DAY = timedelta(hours=12)
REASON = "it has stood its days"


def outlook_by_days(jar: Jar, due_at: datetime, outlook: Outlook, at: datetime, rule: EveningRule) -> Outlook:
    """Return the outlook of a jar that is ready when it has stood its days; its warmth is kept, but decides nothing.

    Args:
        jar: the jar.
        due_at: when it has stood its days.
        outlook: as it was, with its heat.
        at: now, aware.
        rule: when the grower can strain.

    Returns:
        It, with the evening nearest to the day it is due, or the next one when that has gone by; one that has begun
        stays until midnight.
    """
    ready = 1.0 if at >= due_at else 0.0
    return replace(
        outlook,
        judged_at=at,
        stage=stage(jar, ready, 0.0),
        chance_ready=ready,
        chance_past=0.0,
        ready_early_at=due_at,
        ready_likely_at=due_at,
        ready_late_at=due_at,
        ready_at=due_at if ready else None,
        evening_at=_evening_at(outlook.evening_at, due_at, at, rule),
        evening_reason=REASON,
        caveats=(),
    )


def _evening_at(before_at: datetime | None, due_at: datetime, at: datetime, rule: EveningRule) -> datetime | None:
    if before_at is not None and still_on(rule, before_at, at):
        return before_at
    return next(evenings(rule, max(at, due_at - _HALF_DAY)), None)
