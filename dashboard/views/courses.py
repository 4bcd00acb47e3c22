"""The courses of temperature, humidity and light as charts, from the shelf log's buckets."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from dashboard.charts import Chart
from dashboard.course import Course
from dashboard.spells import Spell
from dashboard.views.manner import Manner
from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind
from station.domain.figures import TempUnit, light_text, number_text, rh_text, temp_in
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.store.summaries import Bucket, Spread

WORDS = {
    Kind.SILENT: "silent",
    Kind.SUN: "direct sun",
    Kind.HOT: "hot",
    Kind.COLD: "cold",
    Kind.DAMP: "damp",
    Kind.BRIGHT: "bright",
}
DARKEST_LX = 1.0
"""Where the light's axis begins: a logarithm needs something above nothing."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the shelf's life, to be drawn.

    Args:
        since_at, until_at: the ends, aware.
        buckets: what was measured, in steps of equal length.
        spells: conditions that held in it.
        jars: jars that stood there then.
    """

    since_at: datetime
    until_at: datetime
    buckets: tuple[Bucket, ...]
    spells: tuple[Spell, ...] = ()
    jars: tuple[Spell, ...] = ()


def spells_of(alerts: Iterable[Alert], now_at: datetime) -> tuple[Spell, ...]:
    """Return the conditions among some alerts as spells, oldest first."""
    found = [
        Spell(alert.since_at, alert.cleared_at or now_at, WORDS[alert.kind.condition], str(alert.kind))
        for alert in alerts
        if alert.kind.condition is not None
    ]
    return tuple(sorted(found, key=lambda spell: spell.since_at))


def temperature_chart(stretch: Stretch, manner: Manner) -> Chart:
    """Return the course of the shelf's temperature with its good range, and the jars that stood there."""
    unit = manner.unit
    return _chart(
        "temperature",
        stretch,
        manner,
        unit=f"°{unit}",
        course=_course(stretch.buckets, lambda bucket: bucket.temp_c, _converted(unit)),
        text=lambda value: f"{number_text(value, 1)} °{unit}",
        about=(AlertKind.COLD, AlertKind.HOT, AlertKind.SUN),
        good=(temp_in(GOOD_LOW_C, unit), temp_in(GOOD_HIGH_C, unit)),
        good_name="good range",
        jars=stretch.jars,
    )


def _converted(unit: TempUnit) -> Callable[[float], float] | None:
    return None if unit == "C" else lambda temp_c: temp_in(temp_c, unit)


def humidity_chart(stretch: Stretch, manner: Manner) -> Chart:
    """Return the course of the shelf's relative humidity."""
    course = _course(stretch.buckets, lambda bucket: bucket.rh_pct)
    return _chart("humidity", stretch, manner, unit="%", course=course, text=rh_text, about=(AlertKind.DAMP,))


def light_chart(stretch: Stretch, manner: Manner) -> Chart:
    """Return the course of the light on the shelf, on a logarithmic axis."""
    return _chart(
        "light",
        stretch,
        manner,
        unit="lx",
        course=_course(stretch.buckets, lambda bucket: bucket.light_lx),
        text=light_text,
        about=(AlertKind.SUN, AlertKind.BRIGHT),
        good=(DARKEST_LX, manner.limits.bright_lx),
        good_name="dark enough",
        log=True,
    )


def _chart(
    key: str,
    stretch: Stretch,
    manner: Manner,
    *,
    unit: str,
    course: Course,
    text: Callable[[float], str],
    about: tuple[AlertKind, ...],
    good: tuple[float, float] | None = None,
    good_name: str = "",
    jars: tuple[Spell, ...] = (),
    log: bool = False,
) -> Chart:
    return Chart(
        key=key,
        title=key.capitalize(),
        description=_told(course, text),
        unit=unit,
        since_at=stretch.since_at,
        until_at=stretch.until_at,
        zone=manner.zone,
        course=course,
        good=good,
        good_name=good_name,
        spells=tuple(spell for spell in stretch.spells if spell.look in about),
        jars=jars,
        log=log,
        say=text,
    )


def _course(
    buckets: tuple[Bucket, ...],
    look: Callable[[Bucket], Spread | None],
    convert: Callable[[float], float] | None = None,
) -> Course:
    """Return one quantity's course, each value converted if need be."""
    found = [(bucket.start_at, spread) for bucket in buckets if (spread := look(bucket)) is not None]
    step_s = buckets[0].span_s if buckets else 60.0
    columns = [[one.low for _, one in found], [one.mean for _, one in found], [one.high for _, one in found]]
    if convert is not None:
        columns = [[convert(value) for value in values] for values in columns]
    lows, means, highs = map(tuple, columns)
    return Course(tuple([start_at.timestamp() + step_s / 2 for start_at, _ in found]), lows, means, highs, step_s)


def _told(course: Course, text: Callable[[float], str]) -> str:
    """Say in words what a chart shows."""
    if not course.at_s:
        return "Nothing was measured."
    return f"Between {text(min(course.low))} and {text(max(course.high))}; at the end {text(course.mean[-1])}."
