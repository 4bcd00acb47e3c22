"""The course of a jar's warmth over its days, from a log in coarse steps: what a page draws."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.domain.warmth import BASE_C, Warmth, approach


@dataclass(frozen=True, slots=True)
class ShelfStep:
    """A step of the log: the mean shelf temperature, °C, from `start_at` on for `span_s` seconds."""

    start_at: datetime
    span_s: float
    temp_c: float


@dataclass(frozen=True, slots=True)
class WarmthPoint:
    """The warm-days a jar had had by then."""

    at: datetime
    warm_days: float


def warmth_course(
    steps: Iterable[ShelfStep],
    packed_at: datetime,
    until_at: datetime,
    tau_s: float,
    warm_days: float | None = None,
    base_c: float = BASE_C,
) -> tuple[WarmthPoint, ...]:
    """Return how a jar's warmth grew, a point at the end of each step, from 0 at its packing.

    Gaps are bridged for two hours as everywhere; what is missing adds nothing.

    Args:
        steps: the shelf's temperature in order of time; steps before the packing do not matter.
        packed_at, until_at: the jar's time on the shelf.
        tau_s: its time constant, seconds.
        warm_days: what the station counted by the end, minute by minute and with the jar's own probe if it has
            one; the course is stretched to end there. None: it ends where the steps lead.
        base_c: the base temperature from which warmth is told, °C.
    """
    points = [WarmthPoint(packed_at, 0.0)]
    warmth, jar_c, through_at = Warmth(), None, packed_at
    for step in steps:
        begin_at = max(step.start_at, packed_at)
        end_at = min(step.start_at + timedelta(seconds=step.span_s), until_at)
        if end_at <= max(begin_at, through_at):
            continue
        jar_c = step.temp_c if jar_c is None else jar_c
        if begin_at > through_at:
            warmth = warmth.bridged(jar_c, (begin_at - through_at).total_seconds())
        stretch = approach(jar_c, step.temp_c, (end_at - max(begin_at, through_at)).total_seconds(), tau_s)
        warmth, jar_c, through_at = warmth.after(stretch), stretch.end_c, end_at
        points.append(WarmthPoint(end_at, warmth.warm_days(base_c)))
    return _stretched(tuple(points), warm_days)


def _stretched(points: tuple[WarmthPoint, ...], warm_days: float | None) -> tuple[WarmthPoint, ...]:
    reached = points[-1].warm_days
    if warm_days is None or reached <= 0.0:
        return points
    return tuple(WarmthPoint(point.at, point.warm_days * warm_days / reached) for point in points)
