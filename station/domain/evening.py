"""The strain evening: the evening on which a jar is most likely ready and not past it."""

import enum
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from station.domain.forecast import Chances, Prospect, prospect_of
from station.domain.paths import HORIZON_DAYS, ShelfPaths
from station.domain.readiness import Belief
from station.domain.warmth import TIME_CONSTANT_S, JarHeat

MOVE_GAIN = 0.05
"""A proposal moves only when another evening is better by at least this chance."""
LEAST_READY = 0.3
"""No evening is proposed on which the jar is less likely ready than this."""


@dataclass(frozen=True, slots=True)
class EveningRule:
    """When the grower can strain.

    Args:
        evening: local time of straining.
        zone: its IANA zone.
        days_away: weekdays on which nobody strains, 0 for Monday to 6 for Sunday.
    """

    evening: time = time(19, 0)
    zone: str = "UTC"
    days_away: frozenset[int] = frozenset()


class Reason(enum.StrEnum):
    """Why this evening. The texts are stored."""

    BEST = "most likely ready and not past it"
    OVERDUE = "past its best: strain at the next chance"
    AWAY = "the best evening is a day away"


@dataclass(frozen=True, slots=True)
class StrainEvening:
    """The proposed evening, with the chance, 0 to 1, that the jar is then ready and not past it.

    `moved_at` is when it took the place of another evening; None if it is the first.
    """

    at: datetime
    chance: float
    reason: Reason
    moved_at: datetime | None = None


def strain_evening(
    belief: Belief,
    heat: JarHeat,
    paths: ShelfPaths,
    rule: EveningRule,
    previous: StrainEvening | None = None,
    tau_s: float = TIME_CONSTANT_S,
) -> StrainEvening | None:
    """Return the evening to strain on, or None when none within the horizon is likely or nothing is known.

    Args:
        belief, heat, paths, tau_s: as for the range.
        rule: when the grower can strain.
        previous: the evening proposed before; it stays unless another is clearly better or it has gone by. One that
            has begun stays until midnight, and so does one that was moved today: people plan by the day.
    """
    if previous is not None and still_on(rule, previous.at, paths.now_at):
        return previous
    prospect = prospect_of(belief, heat, paths, tau_s)
    if prospect is None:
        return None
    best = _best(prospect, evenings(rule, paths.now_at))
    if best is not None and best.ready < LEAST_READY:
        best = _next_ready(prospect, evenings(rule, best.at))
    if best is None:
        return None
    if previous is not None and previous.at in evenings(rule, paths.now_at):
        kept = prospect.chances(previous.at)
        if kept.good + MOVE_GAIN >= best.good or _moved_today(rule, previous, paths.now_at):
            best = kept
    moved_at = _moved_at(previous, best.at, paths.now_at)
    return StrainEvening(best.at, best.good, _reason(prospect, rule, best), moved_at)


def still_on(rule: EveningRule, evening_at: datetime, now_at: datetime) -> bool:
    """Return whether an evening has begun and is not over: it lasts until midnight."""
    return evening_at <= now_at and _same_day(rule, evening_at, now_at)


def _moved_at(previous: StrainEvening | None, at: datetime, now_at: datetime) -> datetime | None:
    if previous is None:
        return None
    return previous.moved_at if previous.at == at else now_at


def _moved_today(rule: EveningRule, evening: StrainEvening, now_at: datetime) -> bool:
    return evening.moved_at is not None and _same_day(rule, evening.moved_at, now_at)


def _same_day(rule: EveningRule, one_at: datetime, other_at: datetime) -> bool:
    zone = ZoneInfo(rule.zone)
    return one_at.astimezone(zone).date() == other_at.astimezone(zone).date()


def next_chance(rule: EveningRule, evening_at: datetime | None, now_at: datetime) -> datetime | None:
    """Return the evening for what can wait no longer: the one proposed until it is over, then the next."""
    if evening_at is not None and (evening_at > now_at or still_on(rule, evening_at, now_at)):
        return evening_at
    return next(evenings(rule, now_at), None)


def _reason(prospect: Prospect, rule: EveningRule, chosen: Chances) -> Reason:
    if rule.days_away:
        now_at = prospect.paths.now_at
        best = _best(prospect, evenings(replace(rule, days_away=frozenset()), now_at))
        if best is not None and best.good > chosen.good and best.at not in evenings(rule, now_at):
            return Reason.AWAY
    return Reason.OVERDUE if chosen.past >= 0.5 else Reason.BEST


def _best(prospect: Prospect, ats: Iterable[datetime]) -> Chances | None:
    best: Chances | None = None
    for at in ats:
        one = prospect.chances(at)
        if best is None or one.good > best.good:
            best = one
        elif 1.0 - one.past <= best.good:
            break  # the chance of being past only grows: no later evening can be better
    return best


def _next_ready(prospect: Prospect, ats: Iterable[datetime]) -> Chances | None:
    """Return the first evening on which the jar may well be ready: where the best comes too early, late beats never."""
    return next((one for at in ats if (one := prospect.chances(at)).ready >= LEAST_READY), None)


def evenings(rule: EveningRule, now_at: datetime) -> Iterator[datetime]:
    """Yield the coming evenings on which the grower can strain, as UTC times, up to the horizon."""
    zone = ZoneInfo(rule.zone)
    today = now_at.astimezone(zone).date()
    for days in range(HORIZON_DAYS):
        date = today + timedelta(days=days)
        at = datetime.combine(date, rule.evening, zone).astimezone(UTC)
        if at > now_at and date.weekday() not in rule.days_away:
            yield at
