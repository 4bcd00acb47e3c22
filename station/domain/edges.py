"""Edges: where on its way the sun comes to shine on a place or leaves it, found from the days on which it did.

An edge is a window's side, its top, a sill, a roof outside. It is seen as an azimuth, as an elevation, or as a height
seen straight through a wall that faces this way or that, whichever makes most days agree.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from station.domain.sun import SunPosition

AGREE_MIN = 4.0
"""Days agree on an edge if the sun needs no longer than this from one's place to the other's."""
NEARLY = 0.9
"""A plainer way to see an edge is preferred if nearly as many days agree."""
NO_CLOUD_SHARE = 0.7
"""Cloud only ever makes the sun come late or go early: of two places on which nearly as many days agree, the edge is
the one at which it came first or went last."""
SLOWEST_DEG = 0.1
"""Seen in some ways the sun stands almost still: then everything agrees, and it tells nothing."""
SECOND_EDGE_DAYS = 4
"""So many of the days that do not fit an edge must agree on another."""
MOMENT_MIN = 2.0
"""Minutes over which the sun's speed is taken."""

_FACING_DEG = range(0, 360, 15)


@dataclass(frozen=True, slots=True)
class Sight:
    """A way to look at where the sun stands, as one number in °.

    Args:
        kind: "azimuth" from `towards_deg`, "elevation", or "height" through a wall that faces `towards_deg`.
        towards_deg: azimuth.
    """

    kind: str
    towards_deg: float = 0.0

    def of(self, sun: SunPosition) -> float:
        """Return where the sun stands, seen in this way; a height is 90° beside the wall."""
        turn_deg = aside_deg(sun.azimuth_deg, self.towards_deg)
        if self.kind == "azimuth":
            return turn_deg
        if self.kind == "elevation":
            return sun.elevation_deg
        if abs(turn_deg) >= 85.0:
            return 90.0
        rise = math.tan(math.radians(sun.elevation_deg)) / math.cos(math.radians(turn_deg))
        return math.degrees(math.atan(rise))


@dataclass(frozen=True, slots=True)
class Edge:
    """Where the sun comes or goes: it passes `at_deg`, seen in this way, upwards or downwards."""

    sight: Sight
    at_deg: float
    upwards: bool

    def passed(self, sun: SunPosition) -> bool:
        """Whether the sun is beyond the edge."""
        return (self.sight.of(sun) >= self.at_deg) == self.upwards

    def minutes_past(self, sun: SunPosition, next_sun: SunPosition) -> float:
        """Return for how long the sun has been beyond the edge, by its speed up to `next_sun`; negative before it."""
        at_deg = self.sight.of(sun)
        moved_deg = self.sight.of(next_sun) - at_deg
        return (at_deg - self.at_deg) / moved_deg * MOMENT_MIN if moved_deg else 0.0


@dataclass(frozen=True, slots=True)
class Seen:
    """The sun at an end of a day's spell, shortly after, and how much that day counts."""

    sun: SunPosition
    next_sun: SunPosition
    weight: float


def aside_deg(azimuth_deg: float, towards_deg: float) -> float:
    """Return how far an azimuth lies to the right of another, −180 to 180°."""
    return (azimuth_deg - towards_deg + 180.0) % 360.0 - 180.0


def edges_of(ends: Sequence[Seen], *, come: bool) -> tuple[Edge, ...]:
    """Return the edge on which most days agree, and one on which several of the rest do, if there is one.

    No edge in the rare case that the sun moves one way on some days and the other way on others (it passes overhead).

    Args:
        ends: the sun where it came, or where it went, on each day; the last day last.
        come: whether it came there.
    """
    first = _edge(ends, come=come)
    if first is None:
        return ()
    away = 1.0 if come else -1.0
    rest = [one for one in ends if away * first.minutes_past(one.sun, one.next_sun) > AGREE_MIN]
    if len(rest) < SECOND_EDGE_DAYS:
        return (first,)
    second = _edge(rest, come=come)
    if second is None:
        return (first,)
    agree = sum(abs(second.minutes_past(one.sun, one.next_sun)) <= AGREE_MIN for one in rest)
    return (first, second) if agree >= SECOND_EDGE_DAYS else (first,)


def _edge(ends: Sequence[Seen], *, come: bool) -> Edge | None:
    """Return the edge on which most days agree, seen in the plainest way in which they do."""
    found = [one for sight in _sights(ends) if (one := _agreed(sight, ends, come=come)) is not None]
    most = max((weight for weight, _ in found), default=0.0)
    return next((edge for weight, edge in found if weight >= NEARLY * most), None)


def _sights(ends: Sequence[Seen]) -> Iterator[Sight]:
    yield Sight("azimuth", ends[-1].sun.azimuth_deg)
    yield Sight("elevation")
    for facing_deg in _FACING_DEG:
        if all(abs(aside_deg(one.sun.azimuth_deg, facing_deg)) < 80.0 for one in ends):
            yield Sight("height", float(facing_deg))


def _agreed(sight: Sight, ends: Sequence[Seen], *, come: bool) -> tuple[float, Edge] | None:
    """Return the place on which days agree and their weight; None where the sun hardly moves, seen in this way."""
    moves = [sight.of(one.next_sun) - sight.of(one.sun) for one in ends]
    usual = sorted(moves)[len(moves) // 2]
    reach_deg = abs(usual) * AGREE_MIN / MOMENT_MIN
    if reach_deg < SLOWEST_DEG or any(move * usual <= 0.0 for move in moves):
        return None
    upwards = usual > 0.0
    at_deg, weight = _densest(
        sorted((sight.of(one.sun), one.weight) for one in ends), reach_deg, lowest=upwards == come
    )
    return weight, Edge(sight, at_deg, upwards)


def _densest(places: Sequence[tuple[float, float]], reach: float, *, lowest: bool) -> tuple[float, float]:
    """Return the mean and the weight of the lowest (or highest) of the heaviest groups that lie within `reach`."""
    groups = [[one for one in places[first:] if one[0] - places[first][0] <= reach] for first in range(len(places))]
    weights = [math.fsum(weight for _, weight in group) for group in groups]
    heavy = [index for index, weight in enumerate(weights) if weight >= NO_CLOUD_SHARE * max(weights)]
    nearby = [index for index in heavy if abs(places[index][0] - places[heavy[0 if lowest else -1]][0]) <= reach]
    best = max(nearby, key=lambda index: weights[index])
    return math.fsum(at * weight for at, weight in groups[best]) / weights[best], weights[best]
