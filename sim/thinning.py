"""A log in longer steps: a replay that has to be quick need not look at every minute."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import reduce
from operator import or_

from station.domain.conditions import Kind
from station.domain.guidance import Limits, limit_for
from station.domain.readings import Mark, Reading
from station.domain.warmth import GAP_SLACK


def thinned(readings: Iterable[Reading], step_s: float, limits: Limits | None = None) -> Iterator[Reading]:
    """Yield readings that stand for about `step_s` seconds each: means of those that follow each other without a gap.

    Readings on different sides of the sun's bounds are not put together, nor are those that measured anything with
    those that did not: the shortest holds are no longer than a step, and a mean of five minutes with two of sun in them
    would be five minutes of sun.

    Args:
        readings: in order of time, of any cadence; one that stands for longer already is passed on as it is.
        step_s: seconds, above 0.
        limits: where the sun's bounds are; the defaults if None.
    """
    sun = limit_for(Kind.SUN, limits or Limits())
    bounds_lx = (sun.clear_at, sun.raise_at)
    group: list[Reading] = []
    sides: tuple[bool, ...] = ()
    for reading in readings:
        told = _sides(reading, bounds_lx)
        long = _length_s(group) + reading.span_s > step_s
        if group and (long or told != sides or not _follows(group[-1], reading)):
            yield _together(group)
            group = []
        group.append(reading)
        sides = told
    if group:
        yield _together(group)


def _sides(reading: Reading, bounds_lx: tuple[float, float]) -> tuple[bool, ...]:
    """Return what a reading says to conditions that are quick: whether it measured, and how its light stands."""
    light_lx = reading.light_lx
    return (reading.measured, *(light_lx is not None and light_lx >= bound_lx for bound_lx in bounds_lx))


def _length_s(group: list[Reading]) -> float:
    return sum(reading.span_s for reading in group)


def _follows(one: Reading, other: Reading) -> bool:
    late_s = (other.measured_at - one.measured_at).total_seconds()
    return one.boot_id == other.boot_id and 0.0 < late_s <= GAP_SLACK * other.span_s


def _together(group: list[Reading]) -> Reading:
    """Return readings as one, which ends with the last of them."""
    if len(group) == 1:
        return group[0]
    shaded = any(reading.air_temp_c is not None for reading in group)
    return replace(
        group[-1],
        temp_c=_mean(group, lambda one: one.air_temp_c if shaded else one.temp_c),
        rh_pct=_mean(group, lambda one: one.rh_pct),
        light_lx=_mean(group, lambda one: one.light_lx),
        good=sum(reading.good for reading in group),
        missed=sum(reading.missed for reading in group),
        span_s=_length_s(group),
        marks=reduce(or_, (one.marks & ~Mark.SUNLIT if shaded else one.marks for one in group)),
    )


def _mean(group: list[Reading], look: Callable[[Reading], float | None]) -> float | None:
    found = [(value, one.span_s) for one in group if (value := look(one)) is not None]
    weight = sum(span_s for _, span_s in found)
    return sum(value * span_s for value, span_s in found) / weight if found else None
