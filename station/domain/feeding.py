"""Feedings: what diluted juice was given to, when, and at which time of day it does most good."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, tzinfo
from typing import Literal, TypeAlias

from station.domain.sun import SunDay
from station.errors import NotebookError


class Method(enum.StrEnum):
    """How diluted juice is given."""

    SEED_SOAK = "seed soak"
    DRENCH = "drench"
    BOTTOM = "bottom watering"
    LEAF_SPRAY = "leaf spray"
    COMPOST = "compost"
    """On compost or bare soil."""


@dataclass(frozen=True, slots=True)
class Fed:
    """Diluted juice was given.

    Args:
        feeding_id: the feeding.
        at: aware UTC; for a soak its begin.
        method: how.
        juice_ml, water_ml: what was mixed, mL; juice above 0.
        place: where, or to which plants.
        bottle_id: the bottle the juice came from, or "".
        round_id: the round it belongs to, or "".
        until_at: end of a soak, None when not known or no soak.
        note: free text.
    """

    feeding_id: str
    at: datetime
    method: Method
    juice_ml: float
    water_ml: float
    place: str = ""
    bottle_id: str = ""
    round_id: str = ""
    until_at: datetime | None = None
    note: str = ""
    kind: Literal["fed"] = "fed"

    @property
    def ratio(self) -> float:
        """Parts of water to one of juice."""
        return self.water_ml / self.juice_ml


@dataclass(frozen=True, slots=True)
class TakenOut:
    """Seeds that soaked were taken out of the juice."""

    feeding_id: str
    at: datetime
    kind: Literal["taken out"] = "taken out"


@dataclass(frozen=True, slots=True)
class TakenBack:
    """It was not given after all, or was recorded wrong."""

    feeding_id: str
    at: datetime
    kind: Literal["taken back"] = "taken back"


FeedingEntry: TypeAlias = Fed | TakenOut | TakenBack
"""One line of the notebook about a feeding."""


def fed_from(entries: Iterable[FeedingEntry]) -> Fed:
    """Return the feeding that its entries tell; their order does not matter.

    Raises:
        NotebookError: it was never given, or given twice.
    """
    told = tuple(entries)
    given = [one for one in told if isinstance(one, Fed)]
    if len(given) != 1:
        times = "never" if not given else "twice"
        raise NotebookError(f"feeding {told[0].feeding_id} was recorded {times}", "Give the second one another id.")
    out_at = [one.at for one in told if isinstance(one, TakenOut)]
    return replace(given[0], until_at=max(out_at)) if out_at else given[0]


def was_given(entries: Iterable[FeedingEntry]) -> bool:
    """Whether a feeding stands: it was not taken back."""
    return not any(isinstance(one, TakenBack) for one in entries)


def check_given(entries: Iterable[FeedingEntry]) -> Fed:
    """Return the feeding that its entries tell, if it stands.

    Raises:
        NotebookError: it was taken back, never given, or given twice.
    """
    told = tuple(entries)
    if not was_given(told):
        raise NotebookError(
            f"feeding {told[0].feeding_id} was taken back",
            "See them all: jarside feed list.",
            "See them all: Feeding.",
        )
    return fed_from(told)


def check_taken_out(fed: Fed, entry: TakenOut) -> None:
    """Refuse that seeds were taken out where that cannot be.

    Raises:
        NotebookError: it was no soak, it is over, or they went in later.
    """
    if fed.method is not Method.SEED_SOAK:
        raise NotebookError(
            f"feeding {fed.feeding_id} was no seed soak", "See them all: jarside feed list.", "See them all: Feeding."
        )
    if fed.until_at is not None:
        raise NotebookError(
            (f"the seeds of {fed.feeding_id} were taken out at ", fed.until_at), "Nothing is left to do."
        )
    if entry.at < fed.at:
        raise NotebookError(
            (f"the seeds of {fed.feeding_id} cannot be out at ", entry.at, ": they went in at ", fed.at),
            "Check the time.",
        )


def check_fed(fed: Fed) -> Fed:
    """Return a feeding unchanged if it can be.

    Raises:
        NotebookError: no juice, negative water, or a soak that ends before it begins.
    """
    if not 0.0 < fed.juice_ml < 1e9 or not 0.0 <= fed.water_ml < 1e9:
        raise NotebookError(
            f"a feeding with {fed.juice_ml:g} mL of juice and {fed.water_ml:g} mL of water", "Give amounts above 0."
        )
    if fed.until_at is not None and fed.until_at < fed.at:
        raise NotebookError(
            ("a soak from ", fed.at, " until ", fed.until_at),
            "Check the times.",
        )
    return fed


@dataclass(frozen=True, slots=True)
class TimeAdvice:
    """Whether this is a good time of day, and why."""

    good: bool
    text: str


MORNING_ENDS = timedelta(hours=4)
EVENING_BEGINS = timedelta(hours=3)
_USUAL_RISE, _USUAL_SET = time(6, 0), time(20, 0)
_SPRAY_MORNING = "Good time: leaves take it up in the cool of the morning and dry through the day."
_SPRAY_MIDDAY = "Wait for tomorrow morning: in the sun drops dry before they sink in, and leaves can scorch."
_SPRAY_EVENING = "Wait for the morning: leaves that stay wet overnight invite mildew and slugs."
_WATER_FINE = "Good time: the soil takes it up before it dries."
_WATER_MIDDAY = "Better in the morning or evening: in the midday heat much of it dries off."
_ANY_TIME = "Any time of day will do."


def time_advice(method: Method, at: datetime, zone: tzinfo, sun: SunDay | None = None) -> TimeAdvice:
    """Return whether a moment is good for a method, and why.

    Args:
        method: how it is to be given.
        at: aware time.
        zone: of the place, for when the sun's times are not known.
        sun: the sun's times on that local day, or None.

    Source: common practice: leaf spray in the morning, not at dusk.
    """
    part = _part_of_day(at, zone, sun)
    if method is Method.LEAF_SPRAY:
        text = {"morning": _SPRAY_MORNING, "midday": _SPRAY_MIDDAY}.get(part, _SPRAY_EVENING)
        return TimeAdvice(part == "morning", text)
    if method in (Method.DRENCH, Method.BOTTOM):
        return TimeAdvice(part != "midday", _WATER_MIDDAY if part == "midday" else _WATER_FINE)
    return TimeAdvice(True, _ANY_TIME)


def _part_of_day(at: datetime, zone: tzinfo, sun: SunDay | None) -> str:
    local = at.astimezone(zone)
    rise_at = (sun.rise_at if sun else None) or datetime.combine(local.date(), _USUAL_RISE, zone)
    set_at = (sun.set_at if sun else None) or datetime.combine(local.date(), _USUAL_SET, zone)
    if at < rise_at - timedelta(minutes=30) or at >= set_at - EVENING_BEGINS:
        return "evening"
    return "morning" if at <= rise_at + MORNING_ENDS else "midday"


SOAK_LEAST = timedelta(minutes=20)
"""Seed soak from 20 minutes: common practice."""
SOAK_MOST = timedelta(hours=12)
"""Not longer than overnight: seeds under water run out of air (common practice)."""


class SoakState(enum.StrEnum):
    """How a soak stands."""

    AHEAD = "not begun yet"
    EARLY = "leave them in"
    READY = "may come out"
    OVER = "take them out now"


@dataclass(frozen=True, slots=True)
class Soak:
    """A seed soak: from when, and between which times the seeds may come out."""

    from_at: datetime
    ready_at: datetime
    latest_at: datetime

    def state(self, now_at: datetime) -> SoakState:
        """Return how it stands now."""
        if now_at < self.from_at:
            return SoakState.AHEAD
        if now_at < self.ready_at:
            return SoakState.EARLY
        return SoakState.READY if now_at <= self.latest_at else SoakState.OVER


def soak_from(from_at: datetime, least: timedelta = SOAK_LEAST, most: timedelta = SOAK_MOST) -> Soak:
    """Return when seeds that went in at `from_at` may come out.

    Raises:
        NotebookError: `least` is not above 0, or `most` is shorter.
    """
    if not timedelta(0) < least <= most:
        raise NotebookError(f"a soak of {least} to {most}", "Give a time above 0, the longer one last.")
    return Soak(from_at, from_at + least, from_at + most)
