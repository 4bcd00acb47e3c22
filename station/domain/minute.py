"""A minute: what its samples come to once the doubtful ones are out."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from statistics import median, median_high

from station.domain.quality import JudgedSample, Reason
from station.domain.readings import Mark, Miss, ProbeReading, Sample


@dataclass(frozen=True, slots=True)
class MinuteValues:
    """What a minute's samples come to, as `Reading` wants it.

    Args:
        temp_c, rh_pct, light_lx: medians over all sensors of the shelf; None when no value is left.
        good: samples of the shelf of which something was used.
        missed: samples of the shelf of which nothing was left, and misses.
        marks: SATURATED, STUCK and DOUBTED, from all sensors.
        probes: the median temperature of each probe that gave one, by name.
    """

    temp_c: float | None
    rh_pct: float | None
    light_lx: float | None
    good: int
    missed: int
    marks: Mark
    probes: tuple[ProbeReading, ...]


def minute_of(
    judged: Sequence[JudgedSample], misses: Sequence[Miss] = (), probes: Collection[str] = ()
) -> MinuteValues:
    """What the samples of a minute come to.

    A shelf light is marked saturated when a saturated value is not above the median, which is then only a lower bound.

    Args:
        judged: the minute's samples of all sensors, judged, in any order.
        misses: the times when a sensor gave nothing.
        probes: names of the sensors that are fixed to jars; the shelf's values and counts leave them out.

    Returns:
        Medians, counts and marks. One accepted sample is enough for a value: on a Pi three in ten reads fail.
    """
    shelf = [one for one in judged if one.sample.sensor not in probes]
    samples = [one.sample for one in shelf]
    good = sum(one.used for one in shelf)
    return MinuteValues(
        temp_c=_median([sample.temp_c for sample in samples]),
        rh_pct=_median([sample.rh_pct for sample in samples]),
        light_lx=_median([sample.light_lx for sample in samples]),
        good=good,
        missed=len(shelf) - good + sum(miss.sensor not in probes for miss in misses),
        marks=_marks(judged) | _saturation(samples),
        probes=_probe_readings(judged, probes),
    )


def _median(values: Sequence[float | None]) -> float | None:
    present = [value for value in values if value is not None]
    return median(present) if present else None


def _marks(judged: Sequence[JudgedSample]) -> Mark:
    marks = Mark.NONE
    if any(one.doubted for one in judged):
        marks |= Mark.DOUBTED
    if any(Reason.STUCK in one.reasons for one in judged):
        marks |= Mark.STUCK
    return marks


def _saturation(samples: Sequence[Sample]) -> Mark:
    lights = [sample.light_lx for sample in samples if sample.light_lx is not None]
    bounds = [sample.light_lx for sample in samples if sample.saturated and sample.light_lx is not None]
    return Mark.SATURATED if bounds and min(bounds) <= median_high(lights) else Mark.NONE


def _probe_readings(judged: Sequence[JudgedSample], probes: Collection[str]) -> tuple[ProbeReading, ...]:
    medians = ((probe, _probe_c(judged, probe)) for probe in sorted(probes))
    return tuple(ProbeReading(probe, temp_c) for probe, temp_c in medians if temp_c is not None)


def _probe_c(judged: Sequence[JudgedSample], probe: str) -> float | None:
    return _median([one.sample.temp_c for one in judged if one.sample.sensor == probe])
