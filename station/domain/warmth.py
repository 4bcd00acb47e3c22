"""Warmth: what a jar has had of it, in degree-hours and warm-days, and the temperature of the jar itself.

Warmth is the integral of the jar temperature above a base, clamped to a cap. Nobody has published the base for this
product, so it is kept for several bases at once (`BASES_C`); that is all a later judgement needs to know of the past.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from station.domain.readings import Mark, Reading

BASES_C = (4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0)
"""Published pairs of days and temperatures put the base between 4 and 10 °C (NDSU Extension; kimchi acidity)."""
BASE_C = 7.0
CAP_C = 30.0
REFERENCE_C = 20.0
BRIDGE_S = 2 * 3600.0
"""A gap is bridged with the last jar temperature for at most this long; the rest is missing."""
TIME_CONSTANT_S = 3.3 * 3600.0
"""First-order time constant of a full, covered 1 L jar in still air (ISO 6946 films)."""
SUN_GAIN_C_LX = 0.7 * 0.25 / 7.7 / 83.0
"""°C above the air per lx of direct sun: a dark jar takes up about 0.7 of the light on its shadow, which is a quarter
of its wall (Cauchy, for any convex body); the wall passes 7.7 W/m²K to the room (ISO 6946); direct sun carries about
83 lm/W (Littlefair 1988: 70 to 95)."""
GAP_SLACK = 1.5
"""A reading that comes later than this many spans after the one before leaves a gap."""


def excess_c(temp_c: float, base_c: float = BASE_C, cap_c: float = CAP_C) -> float:
    """Return how far a temperature lies above the base, °C, clamped to 0 and to the cap."""
    return min(max(temp_c, base_c), cap_c) - base_c


def relative_rate(temp_c: float, base_c: float = BASE_C, cap_c: float = CAP_C) -> float:
    """Return the rate at `temp_c` relative to 20 °C (warm-days a day): the clamped straight line of the guidance."""
    return excess_c(temp_c, base_c, cap_c) / (REFERENCE_C - base_c)


def warm_days_of(degree_hours: float, base_c: float = BASE_C) -> float:
    """Return warm-days (24 h at 20 °C is 1) from degree-hours above `base_c`."""
    return degree_hours / (24.0 * (REFERENCE_C - base_c))


def time_constant_s(contents_ml: float) -> float:
    """Return the time constant of a jar's contents, seconds.

    Heat held grows with volume, heat lost with wall area: similar jars scale with the cube root of the contents,
    from 3.3 h for a full litre.

    Args:
        contents_ml: what is in the jar, mL, above 0.
    """
    return TIME_CONSTANT_S * math.cbrt(contents_ml / 1000.0)


def sun_gain_c(light_lx: float) -> float:
    """Return how far above the air direct sun brings a jar in the end, °C, from its illuminance in lx."""
    return SUN_GAIN_C_LX * light_lx


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time in which the jar's temperature runs exponentially from one value towards another.

    `mean_c` is its exact mean; with `time_constant_s` 0 the temperature is constant.
    """

    start_c: float
    end_c: float
    mean_c: float
    target_c: float
    span_s: float
    time_constant_s: float


def approach(start_c: float, target_c: float, span_s: float, time_constant_s: float) -> Stretch:
    """Let a jar at `start_c` stand for `span_s` in surroundings at `target_c`: the exact first-order answer."""
    if time_constant_s <= 0.0 or start_c == target_c:
        return Stretch(target_c, target_c, target_c, target_c, span_s, 0.0)
    left = math.exp(-span_s / time_constant_s)
    offset_c = start_c - target_c
    mean_c = target_c + offset_c * (1.0 - left) * time_constant_s / span_s
    return Stretch(start_c, target_c + offset_c * left, mean_c, target_c, span_s, time_constant_s)


def degree_hours(stretch: Stretch, base_c: float, cap_c: float = CAP_C) -> float:
    """Return the exact integral of the clamped excess over a stretch, °C·h, crossings of base and cap included."""
    low_c, high_c = sorted((stretch.start_c, stretch.end_c))
    if low_c >= base_c and high_c <= cap_c:
        return (stretch.mean_c - base_c) * stretch.span_s / 3600.0
    return _area_above(stretch, base_c) - _area_above(stretch, cap_c)


def _area_above(stretch: Stretch, level_c: float) -> float:
    """Return the integral of max(T − level, 0), °C·h; T is monotone, so it crosses the level at most once."""
    low_c, high_c = sorted((stretch.start_c, stretch.end_c))
    if high_c <= level_c:
        return 0.0
    if low_c >= level_c:
        return (stretch.mean_c - level_c) * stretch.span_s / 3600.0
    tau_s, target_c = stretch.time_constant_s, stretch.target_c
    cross_s = tau_s * math.log((stretch.start_c - target_c) / (level_c - target_c))
    if stretch.start_c > level_c:  # warm first, then below
        settled = (stretch.start_c - level_c) * tau_s + (target_c - level_c) * cross_s
        return settled / 3600.0
    late_s = stretch.span_s - cross_s
    return ((target_c - level_c) * late_s - (stretch.end_c - level_c) * tau_s) / 3600.0


@dataclass(frozen=True, slots=True)
class Warmth:
    """The warmth a jar has had.

    Args:
        excess_ch: degree-hours (°C·h) above each of `BASES_C`.
        observed_h: hours that were measured.
        bridged_h: hours of gaps that were bridged with the last jar temperature.
        missing_h: hours of which nothing is known.
    """

    excess_ch: tuple[float, ...] = (0.0,) * len(BASES_C)
    observed_h: float = 0.0
    bridged_h: float = 0.0
    missing_h: float = 0.0

    def degree_hours(self, base_c: float = BASE_C) -> float:
        """Return °C·h above `base_c`, interpolated between the bases kept; outside them the nearest is used."""
        step = (min(max(base_c, BASES_C[0]), BASES_C[-1]) - BASES_C[0]) / (BASES_C[1] - BASES_C[0])
        low = min(int(step), len(BASES_C) - 2)
        part = step - low
        return self.excess_ch[low] * (1.0 - part) + self.excess_ch[low + 1] * part

    def warm_days(self, base_c: float = BASE_C) -> float:
        """Return warm-days relative to `base_c`."""
        return warm_days_of(self.degree_hours(base_c), base_c)

    def after(self, stretch: Stretch) -> "Warmth":
        """Return the warmth after one more observed stretch."""
        return self._grown(stretch, observed_h=stretch.span_s / 3600.0)

    def estimated(self, stretch: Stretch) -> "Warmth":
        """Return the warmth after a stretch whose temperature was worked out, not measured: it counts as bridged."""
        return self._grown(stretch, bridged_h=stretch.span_s / 3600.0)

    def bridged(self, temp_c: float, gap_s: float) -> "Warmth":
        """Return the warmth after a gap of `gap_s`, bridged with `temp_c` for at most two hours."""
        bridge_s = min(gap_s, BRIDGE_S)
        stretch = approach(temp_c, temp_c, bridge_s, 0.0)
        return self._grown(stretch, bridged_h=bridge_s / 3600.0, missing_h=(gap_s - bridge_s) / 3600.0)

    def _grown(
        self, stretch: Stretch, *, observed_h: float = 0.0, bridged_h: float = 0.0, missing_h: float = 0.0
    ) -> "Warmth":
        low_c, high_c = min(stretch.start_c, stretch.end_c), max(stretch.start_c, stretch.end_c)
        if low_c >= BASES_C[-1] and high_c <= CAP_C:  # the ordinary minute: nothing is clamped
            hours, mean_c = stretch.span_s / 3600.0, stretch.mean_c
            excess_ch = tuple(
                [had + (mean_c - base) * hours for had, base in zip(self.excess_ch, BASES_C, strict=True)]
            )
        else:
            excess_ch = tuple(
                [had + degree_hours(stretch, base) for had, base in zip(self.excess_ch, BASES_C, strict=True)]
            )
        return Warmth(excess_ch, self.observed_h + observed_h, self.bridged_h + bridged_h, self.missing_h + missing_h)


@dataclass(frozen=True, slots=True)
class JarHeat:
    """What the station carries from minute to minute for one jar.

    Args:
        warmth: what the jar has had so far.
        temp_c: the jar's own temperature, None before the first reading.
        shelf_c: the last believable shelf temperature, None before the first.
        through_at: up to when the warmth is counted; at first the time of packing.
        boot_id, boot_s: the same moment on boot time; "" before the first reading.
    """

    warmth: Warmth
    through_at: datetime
    temp_c: float | None = None
    shelf_c: float | None = None
    boot_id: str = ""
    boot_s: float = 0.0


def fresh(packed_at: datetime) -> JarHeat:
    """Return the heat state of a jar that has just been packed."""
    return JarHeat(Warmth(), packed_at)


@dataclass(frozen=True, slots=True)
class _Surroundings:
    """What a jar stands in during one reading: a temperature, the lag towards it, and whether it was measured."""

    target_c: float
    lag_s: float
    measured: bool
    shelf_c: float | None


def followed(heat: JarHeat, reading: Reading, tau_s: float, probe: str = "") -> JarHeat:
    """Let a jar live through one reading.

    A probe on the jar takes precedence; else the jar follows the shelf with its lag. While direct sun lights the
    sensor its temperature is not believed: the jar then follows the last believable shelf temperature plus what the
    sun adds to a jar. A reading that says nothing about temperature changes nothing: it becomes part of a gap, which
    the next good reading bridges or reports as missing.

    Args:
        heat: the state so far.
        reading: the next reading; one from before the jar was packed changes nothing.
        tau_s: the jar's time constant in seconds.
        probe: the name of the probe on this jar, or "".
    """
    about = _surroundings(heat, reading, tau_s, probe)
    elapsed_s = _elapsed_s(heat, reading)
    if about is None or elapsed_s <= 0.0:
        return heat
    span_s = elapsed_s if elapsed_s <= GAP_SLACK * reading.span_s else reading.span_s
    warmth, start_c = heat.warmth, about.target_c if heat.temp_c is None else heat.temp_c
    if elapsed_s > span_s:
        warmth = warmth.bridged(start_c, elapsed_s - span_s)
    stretch = approach(start_c, about.target_c, span_s, about.lag_s)
    warmth = warmth.after(stretch) if about.measured else warmth.estimated(stretch)
    return JarHeat(warmth, reading.measured_at, stretch.end_c, about.shelf_c, reading.boot_id, reading.boot_s)


def _surroundings(heat: JarHeat, reading: Reading, tau_s: float, probe: str) -> _Surroundings | None:
    shelf_c = reading.air_temp_c
    if probe and (probed_c := _probed_c(reading, probe)) is not None:
        return _Surroundings(probed_c, 0.0, True, heat.shelf_c if shelf_c is None else shelf_c)
    if shelf_c is not None:
        return _Surroundings(shelf_c, tau_s, True, shelf_c)
    if reading.marks & Mark.SUNLIT and heat.shelf_c is not None:
        return _Surroundings(heat.shelf_c + sun_gain_c(reading.light_lx or 0.0), tau_s, False, heat.shelf_c)
    return None


def _probed_c(reading: Reading, probe: str) -> float | None:
    return next((one.temp_c for one in reading.probes if one.probe == probe), None)


def followed_all(heat: JarHeat, readings: Iterable[Reading], tau_s: float, probe: str = "") -> JarHeat:
    """Let a jar live through many readings, in order of time."""
    for reading in readings:
        heat = followed(heat, reading, tau_s, probe)
    return heat


def _elapsed_s(heat: JarHeat, reading: Reading) -> float:
    """Seconds since the state was last moved: by boot time within one boot, else by the dated times."""
    if heat.boot_id and heat.boot_id == reading.boot_id:
        return reading.boot_s - heat.boot_s
    return (reading.measured_at - heat.through_at).total_seconds()
