"""Corrections of a sensor: a line through points where both what it said and the truth are known."""

import enum
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from station.domain.quality import LIGHT_MOST_LX
from station.domain.readings import Sample, aware
from station.errors import JarsideError, NotebookError

STALE_AFTER = timedelta(days=365)
"""Humidity sensors of this class drift by some 0.5 to 1 %RH a year (AM2302 data sheet: 0.5 %RH a year)."""

LINE_SPREAD_PCT = 15.0
"""Two salts must lie this far apart before a gain is drawn through them: closer, their errors make the slope."""
LINE_RATIO = 3.0
"""The same for light: the brightest known moment is at least this many times the darkest."""
TOGETHER = timedelta(days=60)
"""Humidity points further apart in time than this are not of one sensor any more: it drifts (own choice)."""
SAME_SALT_PCT = 2.0
SAME_LIGHT = 1.5
"""A new point takes the place of an earlier one whose true value is this near (%RH; for light a factor; own choice)."""
GAIN_PCT = (0.7, 1.4)
OFF_MOST_PCT = 20.0
SLOPE_LIGHT = (0.3, 3.0)
"""Outside these a sensor is broken, or the known values are wrong."""
OFFSET_MOST = 100.0
"""More than what the limits above leave possible, and less than what cannot be reckoned with."""


class Quantity(enum.StrEnum):
    """What is corrected."""

    HUMIDITY = "humidity"
    LIGHT = "light"


@dataclass(frozen=True, slots=True)
class Point:
    """One moment at which the truth was known.

    Args:
        raw: what the sensor said, uncorrected: %RH or lx.
        true: what it should have said.
        basis: how the truth was known, such as `sodium-chloride at 21.4 °C`.
        at: when, aware UTC.
    """

    raw: float
    true: float
    basis: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Correction:
    """What is done to one quantity of one sensor: %RH along a line, lx along a line in logarithms.

    Args:
        sensor: the sensor's name in the settings.
        quantity: what is corrected.
        gain: slope of the line; for light, of ln(true) over ln(raw).
        offset: %RH added after the gain; for light, added to the logarithm.
        residual: how far the points lie off the line (root mean square): %RH, or for light a share of the value.
        points: what the line was drawn through.
        made_at: when, aware UTC.
    """

    sensor: str
    quantity: Quantity
    gain: float
    offset: float
    residual: float
    points: tuple[Point, ...]
    made_at: datetime


def humidity_correction(sensor: str, points: Sequence[Point], made_at: datetime) -> Correction:
    """Return the correction that known humidities ask for: an offset, or with two salts far enough apart a line.

    Args:
        sensor: the sensor's name in the settings.
        points: one or more, in %RH.
        made_at: aware UTC.

    Raises:
        JarsideError: no points, or the sensor is further off than a working one is.
    """
    raw, true = _values(sensor, points)
    steep = max(true) - min(true) >= LINE_SPREAD_PCT
    gain, offset = _line(raw, true) if steep else (1.0, _mean(true) - _mean(raw))
    off = max(abs(one - other) for one, other in zip(raw, true, strict=True))
    if not GAIN_PCT[0] <= gain <= GAIN_PCT[1] or off > OFF_MOST_PCT:
        raise JarsideError(
            f"{sensor}: {_pairs(points)}: off by {off:.1f} %RH, gain {gain:.2f}",
            "A working sensor is not that far off: check that the salt is damp and the bag tight, or replace the part.",
        )
    residual = _rms(gain * one + offset - other for one, other in zip(raw, true, strict=True))
    return Correction(sensor, Quantity.HUMIDITY, gain, offset, residual, tuple(points), aware(made_at))


def light_correction(sensor: str, points: Sequence[Point], made_at: datetime) -> Correction:
    """Return the correction that known illuminances ask for: a factor, or a line in logarithms if they differ enough.

    Args:
        sensor: the sensor's name in the settings.
        points: one or more, in lx, all above 0.
        made_at: aware UTC.

    Raises:
        JarsideError: no points, a dark one, or the values contradict each other.
    """
    _values(sensor, points)
    dark = next((point for point in points if point.raw <= 0.0 or point.true <= 0.0), None)
    if dark is not None:
        raise JarsideError(f"{sensor}: {_pairs([dark])}: too dark to compare", "Choose a brighter moment.")
    raw, true = [math.log(point.raw) for point in points], [math.log(point.true) for point in points]
    steep = max(true) - min(true) >= math.log(LINE_RATIO)
    gain, offset = _line(raw, true) if steep else (1.0, _mean(true) - _mean(raw))
    if not SLOPE_LIGHT[0] <= gain <= SLOPE_LIGHT[1]:
        raise JarsideError(
            f"{sensor}: {_pairs(points)}: the values contradict each other (slope {gain:.2f})",
            "Remove the correction and take the moments again, with the sensor in its place.",
        )
    residual = math.expm1(_rms(gain * one + offset - other for one, other in zip(raw, true, strict=True)))
    return Correction(sensor, Quantity.LIGHT, gain, offset, residual, tuple(points), aware(made_at))


def check_line(correction: Correction) -> None:
    """Refuse a correction that no known values can have given: the station could not reckon with it.

    Raises:
        NotebookError: its gain or its offset is out of bounds.
    """
    low, high = GAIN_PCT if correction.quantity is Quantity.HUMIDITY else SLOPE_LIGHT
    if not low <= correction.gain <= high or abs(correction.offset) > OFFSET_MOST:
        raise NotebookError(
            f"{correction.sensor}: a correction of gain {correction.gain:g} and offset {correction.offset:g}",
            "Leave it out of the file, and make it again: jarside calibrate.",
            "Leave it out of the file, and make it again.",
        )


def joined(points: Sequence[Point], new: Point, quantity: Quantity) -> tuple[Point, ...]:
    """Return the points that a new one makes a line with: it replaces one near it, and outdates old humidity points."""
    return (*(point for point in points if _apart(point, new, quantity)), new)


def _apart(point: Point, new: Point, quantity: Quantity) -> bool:
    if quantity is Quantity.HUMIDITY:
        return abs(point.true - new.true) > SAME_SALT_PCT and new.at - point.at <= TOGETHER
    return max(point.true, new.true) > SAME_LIGHT * min(point.true, new.true)


def true_value(correction: Correction, raw: float) -> float:
    """Return what the sensor should have said when it said `raw`."""
    if correction.quantity is Quantity.HUMIDITY:
        return correction.gain * raw + correction.offset
    return math.exp(correction.gain * math.log(raw) + correction.offset) if raw > 0.0 else 0.0


def raw_value(correction: Correction, true: float) -> float:
    """Return what the sensor said when the corrected value is `true`: the way back to what was measured."""
    if correction.quantity is Quantity.HUMIDITY:
        return (true - correction.offset) / correction.gain
    return math.exp((math.log(true) - correction.offset) / correction.gain) if true > 0.0 else 0.0


def corrected(sample: Sample, corrections: Iterable[Correction]) -> Sample:
    """Return the sample with every correction for its sensor applied.

    Humidity stays within 0 and 100 %, and light at full scale, which is at least so bright, within what is believed.
    """
    for correction in corrections:
        if correction.sensor != sample.sensor:
            continue
        if correction.quantity is Quantity.HUMIDITY and sample.rh_pct is not None:
            sample = replace(sample, rh_pct=min(100.0, max(0.0, true_value(correction, sample.rh_pct))))
        elif correction.quantity is Quantity.LIGHT and sample.light_lx is not None:
            light_lx = true_value(correction, sample.light_lx)
            sample = replace(sample, light_lx=min(light_lx, LIGHT_MOST_LX) if sample.saturated else light_lx)
    return sample


def due_again(correction: Correction, now: datetime) -> bool:
    """Whether a humidity correction is older than a year and wants doing again; a light correction keeps."""
    return correction.quantity is Quantity.HUMIDITY and now - correction.made_at > STALE_AFTER


def _values(sensor: str, points: Sequence[Point]) -> tuple[list[float], list[float]]:
    if not points:
        raise JarsideError(f"{sensor}: no known value to correct by", "Take at least one.")
    return [point.raw for point in points], [point.true for point in points]


def _line(raw: Sequence[float], true: Sequence[float]) -> tuple[float, float]:
    """Least squares: slope and offset of `true` over `raw`; a slope of infinity when the sensor did not move."""
    middle, level = _mean(raw), _mean(true)
    moved = sum((one - middle) ** 2 for one in raw)
    if moved == 0.0:
        return math.inf, 0.0
    gain = sum((one - middle) * (other - level) for one, other in zip(raw, true, strict=True)) / moved
    return gain, level - gain * middle


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _rms(errors: Iterable[float]) -> float:
    squares = [error * error for error in errors]
    return math.sqrt(_mean(squares))


def _pairs(points: Sequence[Point]) -> str:
    return ", ".join(f"said {point.raw:.4g} where {point.true:.4g} was true" for point in points)
