"""The guided corrections: humidity against a damp salt, light against known moments."""

from collections.abc import Callable, Sequence
from datetime import datetime
from statistics import median

from hardware.probe import MARGIN_S
from hardware.reasons import ADVICE, Reason
from hardware.salt_watch import Phase, SaltWatch, watched
from station.domain.corrections import Point
from station.domain.readings import Sample
from station.domain.salts import Salt, salt_rh_pct
from station.errors import SensorError
from station.ports import Clock, Sensor

FIRST_ASKED = 10
ASK_EVERY_S = 10.0
MOMENT_SAMPLES = 9
MOMENT_GOOD = 5
MOMENT_SPREAD = 1.25
"""The brightest sample of a moment may be this many times the darkest: more, and the light is changing."""

KNOWN_LX = {"room": 300.0, "shade": 2000.0, "sun": 8000.0}
"""Rough values for whoever has no lux meter: a table away from the window and the shade beside a window (illuminance
tables), and direct sun behind double glazing (6,800 to 9,200 lx: WMO's 120 W/m² by daylight efficacy by glass)."""


def first_answer(sensor: Sensor, clock: Clock) -> Sample:
    """Ask a part until it answers, so that hours are not spent on one that never will.

    Raises:
        SensorError: it did not answer in ten questions; says what to do.
    """
    reason = ""
    for _ in range(FIRST_ASKED):
        answer = sensor.sample()
        if isinstance(answer, Sample):
            return answer
        reason = answer.reason
        clock.sleep(sensor.spacing_s + MARGIN_S)
    raise SensorError(f"{sensor.name}: {reason}", ADVICE.get(Reason(reason), "Check it: jarside probe."))


def salt_point(
    sensor: Sensor, salt: Salt, clock: Clock, on_minute: Callable[[SaltWatch, float], None] | None = None
) -> Point:
    """Watch a sensor in its bag until it is steady, and return the point that it gives. Takes hours.

    Args:
        sensor: the raw sensor, open.
        salt: what is in the bag.
        clock: waits and tells the time.
        on_minute: called with the watch and the elapsed seconds after each answer.

    Raises:
        SensorError: the sensor fell silent, or never became steady.
        JarsideError: the room is too cold or too warm for the salt's table.
    """
    begun_s = clock.boottime_s()
    watch = SaltWatch(salt, begun_s, begun_s)
    while watch.phase is Phase.SETTLING:
        at_s = clock.boottime_s()
        watch = watched(watch, sensor.sample(), at_s)
        if on_minute is not None:
            on_minute(watch, at_s - begun_s)
        clock.sleep(max(ASK_EVERY_S, sensor.spacing_s))
    return point_of(watch, sensor.name, clock.now())


def point_of(watch: SaltWatch, name: str, at: datetime) -> Point:
    """Return the point that a finished watch gives.

    Raises:
        SensorError: it did not end steady.
        JarsideError: the temperature is outside the salt's table.
    """
    if watch.phase is Phase.SILENT:
        raise SensorError(f"{name}: no good answer for ten minutes", "Check it with jarside probe, then begin again.")
    if watch.phase is not Phase.STEADY or watch.rh_pct is None or watch.temp_c is None:
        raise SensorError(
            f"{name}: the reading did not become steady within a day",
            "Close the bag tightly, keep it where the temperature changes little, and begin again.",
        )
    true_pct = salt_rh_pct(watch.salt, watch.temp_c)
    return Point(watch.rh_pct, true_pct, f"{watch.salt} at {watch.temp_c:.1f} °C", at)


def light_point(sensor: Sensor, true_lx: float, basis: str, clock: Clock) -> Point:
    """Read a light sensor in a moment of known light.

    Args:
        sensor: the raw sensor, open.
        true_lx: how light it is, lx, above 0.
        basis: how that is known.
        clock: waits and tells the time.

    Raises:
        SensorError: too few answers, full scale, or the light changes.
    """
    answers = []
    for _ in range(MOMENT_SAMPLES):
        answers.append(sensor.sample())
        clock.sleep(sensor.spacing_s + MARGIN_S)
    samples = [answer for answer in answers if isinstance(answer, Sample) and answer.light_lx is not None]
    return Point(_raw_lx(samples, sensor.name), true_lx, basis, clock.now())


def _raw_lx(samples: Sequence[Sample], name: str) -> float:
    """Return the median of a moment's samples, if it is one moment."""
    if len(samples) < MOMENT_GOOD:
        raise SensorError(f"{name}: {len(samples)} good answers of {MOMENT_SAMPLES}", "Check it with jarside probe.")
    if any(sample.saturated for sample in samples):
        raise SensorError(f"{name}: it is at full scale", "Take a darker moment, or shade the sensor.")
    values = [sample.light_lx for sample in samples if sample.light_lx is not None]
    if max(values) > MOMENT_SPREAD * min(values):
        raise SensorError(
            f"{name}: the light changed from {min(values):.0f} to {max(values):.0f} lx meanwhile",
            "Wait until no cloud is passing and nobody moves, then try again.",
        )
    return median(values)
