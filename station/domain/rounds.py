"""Rounds: feedings that come again, such as a leaf spray every 7 to 10 days in the morning."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from typing import Literal, TypeAlias

from station.domain.dates import in_known_years
from station.domain.feeding import Fed, Method
from station.errors import NotebookError

LEAST_DAYS = 7
MOST_DAYS = 10
"""Leaf spray every 7 to 10 days: common practice."""


@dataclass(frozen=True, slots=True)
class RoundSet:
    """A round was set up, or changed: the latest counts.

    Args:
        round_id: the round.
        at: aware UTC.
        method: how it is given.
        place: where, or to which plants.
        least_days, most_days: days from one feeding to the next, least above 0.
        parts: parts of water to one of juice.
        water_ml: water each time, mL; None when it differs.
        first_on: local day of the first feeding; None for the day it was set.
        note: free text.
    """

    round_id: str
    at: datetime
    method: Method
    place: str = ""
    least_days: int = LEAST_DAYS
    most_days: int = MOST_DAYS
    parts: float = 500.0
    water_ml: float | None = None
    first_on: date | None = None
    note: str = ""
    kind: Literal["set"] = "set"


@dataclass(frozen=True, slots=True)
class Skipped:
    """A feeding of the round was left out, because of rain or for another reason."""

    round_id: str
    at: datetime
    reason: str = ""
    kind: Literal["skipped"] = "skipped"


@dataclass(frozen=True, slots=True)
class Stopped:
    """The round is over."""

    round_id: str
    at: datetime
    reason: str = ""
    kind: Literal["stopped"] = "stopped"


RoundEntry: TypeAlias = RoundSet | Skipped | Stopped
"""One line of the notebook about a round."""

_ORDER = {"set": 0, "skipped": 1, "stopped": 2}


@dataclass(frozen=True, slots=True)
class Round:
    """A round as its entries and feedings tell it.

    Args:
        rule: what was set last.
        done_at, skipped_at: times of feedings done and left out, in order.
        stopped_at: when it ended, or None.
        begun_at: when another first day was said, or it was set again after a stop; None if neither was.
    """

    id: str
    rule: RoundSet
    done_at: tuple[datetime, ...] = ()
    skipped_at: tuple[datetime, ...] = ()
    stopped_at: datetime | None = None
    begun_at: datetime | None = None

    @property
    def last_at(self) -> datetime | None:
        """The last feeding that was done or left out, or None."""
        return max((*self.done_at, *self.skipped_at), default=None)


def round_from(entries: Iterable[RoundEntry], feedings: Iterable[Fed] = ()) -> Round:
    """Return the round that its entries and feedings tell; their order does not matter.

    Raises:
        NotebookError: it was never set up.
    """
    ordered = sorted(entries, key=lambda one: (one.at, _ORDER[one.kind], repr(one)))
    rules = [one for one in ordered if isinstance(one, RoundSet)]
    if not rules:
        raise NotebookError(
            f"round {ordered[0].round_id} was never set up",
            "Set it up first: jarside feed round.",
            "Set it up first, under Feeding.",
        )
    found = Round(rules[0].round_id, rules[0])
    for entry in ordered:
        found = _told(found, entry)
    done = sorted(fed.at for fed in feedings if fed.round_id == found.id)
    return replace(found, done_at=tuple(done))


def _told(found: Round, entry: RoundEntry) -> Round:
    match entry:
        case RoundSet():
            begins_anew = found.stopped_at is not None or entry.first_on != found.rule.first_on
            begun_at = entry.at if begins_anew else found.begun_at
            return replace(found, rule=entry, stopped_at=None, begun_at=begun_at)
        case Skipped():
            return replace(found, skipped_at=(*found.skipped_at, entry.at))
        case Stopped():
            return replace(found, stopped_at=entry.at)


def check_round_entry(found: Round | None, entry: RoundEntry) -> None:
    """Refuse an entry that does not fit the round; None for a round that is not there yet.

    Raises:
        NotebookError: days or a first day that cannot be, or a round that is not there or has stopped.
    """
    if isinstance(entry, RoundSet):
        _check_days(entry.least_days, entry.most_days)
        if entry.first_on is not None and not in_known_years(entry.first_on):
            raise NotebookError(f"a first day in the year {entry.first_on.year}", "Check the day.")
        return
    if found is None or found.stopped_at is not None:
        raise NotebookError(
            f"round {entry.round_id} is not running", "See them all: jarside feed due.", "See them all: Feeding."
        )


def days_from(text: str) -> tuple[int, int]:
    """Return typed days from one feeding to the next, such as `7-10` or `7`.

    Raises:
        NotebookError: they cannot be read, or cannot be.
    """
    least, _, most = text.replace("–", "-").replace("to", "-").partition("-")
    try:
        days = int(least), int(most or least)
    except ValueError:
        raise NotebookError(f"every {text!r} days", "Write days such as 7-10 or 7.") from None
    _check_days(*days)
    return days


def _check_days(least: int, most: int) -> None:
    if not 0 < least <= most <= 366:
        raise NotebookError(f"every {least} to {most} days", "Give days such as 7-10, at most 366.")


class Standing(enum.StrEnum):
    """How a round stands on a day."""

    WAITING = "waiting"
    DUE = "due"
    LATE = "late"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Due:
    """When the next feeding of a round is due, as local days."""

    round_id: str
    standing: Standing
    from_on: date
    until_on: date


def due(found: Round, today: date, zone: tzinfo) -> Due:
    """Return when the next feeding of a round is due.

    Args:
        found: the round.
        today: the local day.
        zone: in which days are counted.
    """
    from_on = _from_on(found, zone)
    until_on = from_on + timedelta(days=found.rule.most_days - found.rule.least_days)
    return Due(found.id, _standing(found, today, from_on, until_on), from_on, until_on)


def _from_on(found: Round, zone: tzinfo) -> date:
    """Return the first day on which the next feeding is due: some days after the last, or a day said since then."""
    rule, last_at, begun_at = found.rule, found.last_at, found.begun_at
    if last_at is None:
        return rule.first_on or _day(rule.at, zone)
    last_on = _day(last_at, zone)
    if begun_at is not None and begun_at > last_at:
        begun_on = _day(begun_at, zone)
        first_on = max(rule.first_on or begun_on, begun_on)
        if first_on > last_on:
            return first_on
    return last_on + timedelta(days=rule.least_days)


def _day(at: datetime, zone: tzinfo) -> date:
    return at.astimezone(zone).date()


def _standing(found: Round, today: date, from_on: date, until_on: date) -> Standing:
    if found.stopped_at is not None:
        return Standing.STOPPED
    if today < from_on:
        return Standing.WAITING
    return Standing.DUE if today <= until_on else Standing.LATE


def due_text(one: Due, found: Round) -> str:
    """Say when a round is due: "leaf spray, beans: due 14 May to 17 May, in the morning"."""
    what = ", ".join(part for part in (found.rule.method.value, found.rule.place) if part)
    span = " to ".join(f"{day.day} {day:%b}" for day in dict.fromkeys((one.from_on, one.until_on)))
    morning = ", in the morning" if found.rule.method is Method.LEAF_SPRAY else ""
    match one.standing:
        case Standing.STOPPED:
            return f"{what}: stopped"
        case Standing.WAITING:
            return f"{what}: next {span}{morning}"
        case Standing.DUE:
            return f"{what}: due now, {span}{morning}"
        case Standing.LATE:
            return f"{what}: late, was due {span}; do it{' in the morning' if morning else ' next'}"
