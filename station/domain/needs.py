"""Needs: what is believed of each plant, from the judged jars and from what the grower set or reset by hand.

A jar counts from its judgement on; withdrawn, it no longer does. A reset forgets what was judged before it, until it
is taken back. A need set by hand is where that plant's belief begins anew: from then on only its own jars move it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, TypeAlias

from station.domain.jars import Jar
from station.domain.learning import Explained, JudgedJar, explained, plant_belief
from station.domain.readiness import LOG_SD, NEED_BOUNDS, NEED_WARM_DAYS, Belief, NeedRange, checked_prior, need_range
from station.domain.warmth import BASE_C, JarHeat, Warmth

EVERY = "*"
"""Stands for all plants."""


@dataclass(frozen=True, slots=True)
class NeedSet:
    """The grower set a plant's need, in warm-days."""

    name: str
    at: datetime
    warm_days: float
    kind: Literal["set"] = "set"


@dataclass(frozen=True, slots=True)
class NeedReset:
    """What was learned or set up to now is to be forgotten: of one plant, or of `EVERY` plant."""

    name: str
    at: datetime
    kind: Literal["reset"] = "reset"


@dataclass(frozen=True, slots=True)
class ResetTakenBack:
    """The reset of that name at `reset_at` is not to count after all."""

    name: str
    at: datetime
    reset_at: datetime
    kind: Literal["taken back"] = "taken back"


NeedEntry: TypeAlias = NeedSet | NeedReset | ResetTakenBack
"""One line of the notebook about a plant's need; `name` is the plant's `plant_key`."""


@dataclass(frozen=True, slots=True)
class Beginning:
    """What is believed of a plant nothing is known of yet: as for `default_belief`."""

    need_warm_days: float = NEED_WARM_DAYS
    log_sd: float = LOG_SD
    base_c: float = BASE_C


@dataclass(frozen=True, slots=True)
class Needs:
    """All that the notebook says about needs.

    Args:
        jars: the jars that were judged when strained and go by warmth.
        entries: what was set, reset and taken back by hand, in any order.
    """

    jars: tuple[Jar, ...] = ()
    entries: tuple[NeedEntry, ...] = ()

    def reset_at(self, plant: str) -> datetime | None:
        """Return when what is known of a plant was last forgotten, by itself or with every plant, or None."""
        found = (self.last_reset(plant), self.last_reset(EVERY))
        return max((one for one in found if one is not None), default=None)

    def last_reset(self, name: str) -> datetime | None:
        """Return when that plant, or `EVERY` plant, was last reset under this very name and not taken back, or None."""
        mine = tuple(one for one in self.entries if one.name == plant_key(name))
        taken_back = {one.reset_at for one in mine if isinstance(one, ResetTakenBack)}
        return max((one.at for one in mine if isinstance(one, NeedReset) and one.at not in taken_back), default=None)

    def set_by_hand(self, plant: str) -> NeedSet | None:
        """Return what the grower last set, or None if nothing was, or it was reset since."""
        forgotten_at = self.reset_at(plant)
        mine = (one for one in self.entries if isinstance(one, NeedSet) and one.name == plant_key(plant))
        since = [one for one in mine if forgotten_at is None or one.at > forgotten_at]
        return max(since, key=lambda one: (one.at, one.warm_days), default=None)

    def counts(self, jar: Jar) -> bool:
        """Whether a judged jar was judged after the last reset."""
        forgotten_at = self.reset_at(jar.plant)
        return jar.judged_at is not None and (forgotten_at is None or jar.judged_at > forgotten_at)

    def plants(self) -> tuple[str, ...]:
        """Return the plants that anything is recorded of, in alphabetical order."""
        keys = {plant_key(jar.plant) for jar in self.jars} | {one.name for one in self.entries}
        return tuple(sorted(keys - {EVERY}))


@dataclass(frozen=True, slots=True)
class PlantNeed:
    """What is believed of one plant, and why.

    Args:
        belief: the belief.
        next_jar: the need of its next jar, warm-days.
        explained: how many jars it rests on, and the typical need.
        by_hand: what the grower set, if that is where it begins.
    """

    belief: Belief
    next_jar: NeedRange
    explained: Explained
    by_hand: NeedSet | None = None


def plant_key(plant: str) -> str:
    """Return a plant's name as needs are kept under: small letters, single spaces."""
    return " ".join(plant.split()).casefold()


def needs_of(jars: Iterable[Jar], entries: Iterable[NeedEntry]) -> Needs:
    """Return what all jars and entries of a notebook say about needs."""
    teaching = (jar for jar in jars if jar.judgement is not None and jar.strained_at is not None and jar.due_at is None)
    return Needs(tuple(sorted(teaching, key=lambda jar: jar.id)), tuple(entries))


def knows(heat: JarHeat | None, jar: Jar) -> bool:
    """Whether a jar's kept heat ends with its straining, so that it tells the warmth it had by then."""
    return heat is not None and jar.strained_at is not None and heat.through_at <= jar.strained_at


def warmth_at_straining(heat: JarHeat, strained_at: datetime) -> Warmth:
    """Return the warmth a jar had when it was strained; what was not measured before it is bridged, then missing.

    Args:
        heat: its heat up to some moment before.
        strained_at: when it was strained.
    """
    gap = strained_at - heat.through_at
    if heat.temp_c is None or gap <= timedelta():
        return heat.warmth
    return heat.warmth.bridged(heat.temp_c, gap.total_seconds())


REACH = (NEED_BOUNDS[0] / 2.0, NEED_BOUNDS[1] * 2.0)
"""A judgement at less or more warmth than this teaches nothing, warm-days: half the least and twice the most that can
be set as a need, which are the ends of the grid of needs. No plant of the teaching texts is near them; a jar strained
an hour after packing and judged `right` is a slip, and would drag all needs along."""


def out_of_reach(jar: Jar, heat: JarHeat) -> bool:
    """Whether a jar was strained at a warmth at which no plant could be judged; not where its warmth is not known."""
    if jar.strained_at is None or not knows(heat, jar) or heat.warmth.observed_h <= 0.0:
        return False
    return not REACH[0] <= warmth_at_straining(heat, jar.strained_at).warm_days(BASE_C) <= REACH[1]


def judged_jars(needs: Needs, heats: Mapping[str, JarHeat]) -> tuple[JudgedJar, ...]:
    """Return the jars that teach, with the warmth they had; those of unknown warmth, or out of reach, are left out.

    Args:
        needs: what the notebook says.
        heats: what the station kept of each jar, by id.
    """
    return tuple(_judged(needs, heats))


def _judged(needs: Needs, heats: Mapping[str, JarHeat]) -> Iterator[JudgedJar]:
    for jar in needs.jars:
        heat = heats.get(jar.id)
        if heat is None or jar.strained_at is None or jar.judgement is None:
            continue
        measured = knows(heat, jar) and heat.warmth.observed_h > 0.0
        if needs.counts(jar) and measured and not out_of_reach(jar, heat):
            yield JudgedJar(plant_key(jar.plant), warmth_at_straining(heat, jar.strained_at), jar.judgement)


def plant_need(plant: str, needs: Needs, heats: Mapping[str, JarHeat], beginning: Beginning | None = None) -> PlantNeed:
    """Return what is believed of one plant, and why.

    Args:
        plant: the plant; need not have any jars.
        needs: what the notebook says.
        heats: what the station kept of each jar, by id.
        beginning: what is believed of a plant nothing is known of yet; the defaults if None.
    """
    key, start, by_hand = plant_key(plant), beginning or Beginning(), needs.set_by_hand(plant)
    if by_hand is not None:
        own = tuple(jar for jar in needs.jars if plant_key(jar.plant) == key and _since(jar, by_hand.at))
        needs = Needs(own, needs.entries)
    judged = judged_jars(needs, heats)
    middle = start.need_warm_days if by_hand is None else by_hand.warm_days
    belief = plant_belief(key, judged, middle, start.log_sd, start.base_c)
    return PlantNeed(belief, need_range(belief), explained(key, judged, belief), by_hand)


def _since(jar: Jar, at: datetime) -> bool:
    return jar.judged_at is not None and jar.judged_at > at


def check_need(entry: NeedEntry) -> None:
    """Refuse a need that cannot be.

    Raises:
        JarsideError: it is out of bounds.
    """
    if isinstance(entry, NeedSet):
        checked_prior(entry.warm_days, LOG_SD, BASE_C)
