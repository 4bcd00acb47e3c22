"""The courses of temperature, humidity and light as charts, from the shelf log's buckets."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboard.charts import Chart, Point, Spell
from dashboard.views.manner import Manner
from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.domain.sentences import light_text, number_text, rh_text, temp_in
from station.store.summaries import Bucket, Spread

WORDS = {
    Kind.SILENT: "silent",
    Kind.SUN: "direct sun",
    Kind.HOT: "hot",
    Kind.COLD: "cold",
    Kind.DAMP: "damp",
    Kind.BRIGHT: "bright",
}
DARKEST_LX = 0.1
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
        points=_points(stretch.buckets, lambda bucket: bucket.temp_c, lambda temp_c: temp_in(temp_c, unit)),
        text=lambda value: f"{number_text(value, 1)} °{unit}",
        about=(AlertKind.COLD, AlertKind.HOT, AlertKind.SUN),
        good=(temp_in(GOOD_LOW_C, unit), temp_in(GOOD_HIGH_C, unit)),
        good_name="good range",
        jars=stretch.jars,
    )


def humidity_chart(stretch: Stretch, manner: Manner) -> Chart:
    """Return the course of the shelf's relative humidity."""
    points = _points(stretch.buckets, lambda bucket: bucket.rh_pct, lambda rh_pct: rh_pct)
    return _chart("humidity", stretch, manner, unit="%", points=points, text=rh_text, about=(AlertKind.DAMP,))


def light_chart(stretch: Stretch, manner: Manner) -> Chart:
    """Return the course of the light on the shelf, on a logarithmic axis."""
    return _chart(
        "light",
        stretch,
        manner,
        unit="lx",
        points=_points(stretch.buckets, lambda bucket: bucket.light_lx, lambda light_lx: max(light_lx, DARKEST_LX)),
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
    points: tuple[Point, ...],
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
        description=_told(points, text),
        unit=unit,
        since_at=stretch.since_at,
        until_at=stretch.until_at,
        zone=manner.zone,
        step=timedelta(seconds=stretch.buckets[0].span_s if stretch.buckets else 60.0),
        points=points,
        good=good,
        good_name=good_name,
        spells=tuple(spell for spell in stretch.spells if spell.look in about),
        jars=jars,
        log=log,
    )


def _points(
    buckets: tuple[Bucket, ...], look: Callable[[Bucket], Spread | None], convert: Callable[[float], float]
) -> tuple[Point, ...]:
    found = ((bucket, look(bucket)) for bucket in buckets)
    return tuple(
        [
            Point(_middle(bucket), convert(spread.low), convert(spread.mean), convert(spread.high))
            for bucket, spread in found
            if spread is not None
        ]
    )


def _middle(bucket: Bucket) -> datetime:
    return bucket.start_at + timedelta(seconds=bucket.span_s / 2)


def _told(points: tuple[Point, ...], text: Callable[[float], str]) -> str:
    """Say in words what a chart shows."""
    if not points:
        return "Nothing was measured."
    low, high = min(point.low for point in points), max(point.high for point in points)
    return f"Between {text(low)} and {text(high)}; at the end {text(points[-1].mean)}."
