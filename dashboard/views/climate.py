"""What the climate page shows: the course of temperature, humidity and light, and the same as tables."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

from dashboard.charts import Chart
from dashboard.spells import Spell
from dashboard.views.courses import WORDS, Stretch, humidity_chart, light_chart, spells_of, temperature_chart
from dashboard.views.manner import Manner
from dashboard.views.spans import Window
from station.domain.alert import Alert
from station.domain.conditions import Kind
from station.domain.figures import TempUnit, light_text, number_text, share_text, span_text, temp_in, temp_text
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.domain.jars import Jar
from station.domain.moments import clock_text, day_text
from station.store.summaries import Bucket, HourSummary, Spread


@dataclass(frozen=True, slots=True)
class ClimateRow:
    """A line of the table: an hour, a day or a week."""

    when: str
    temp: str
    rh: str
    light: str
    conditions: str


@dataclass(frozen=True, slots=True)
class ClimateView:
    """What was measured in a stretch of time; without charts when nothing was."""

    summary: str
    charts: tuple[Chart, ...]
    rows: tuple[ClimateRow, ...]


def climate_view(
    shown: Window,
    buckets: tuple[Bucket, ...],
    parts: tuple[HourSummary, ...],
    alerts: Iterable[Alert],
    jars: Iterable[Jar],
    manner: Manner,
) -> ClimateView:
    """Return what was measured in a stretch of time.

    Args:
        shown: the stretch.
        buckets: its course in steps.
        parts: the same by the lines of its table.
        alerts: those that were open in it.
        jars: all jars; those that did not stand on the shelf then are left out.
        manner: zone, units and limits.
    """
    since_at, until_at = shown.since_at, shown.until_at
    stood = tuple(
        Spell(jar.packed_at, gone_at, jar.plant)
        for jar in jars
        if ((gone_at := jar.off_shelf_at) is None or gone_at > since_at) and jar.packed_at < until_at
    )
    stretch = Stretch(since_at, until_at, buckets, spells_of(alerts, until_at), stood)
    makers = (temperature_chart, humidity_chart, light_chart)
    charts = tuple(make(stretch, manner) for make in makers) if any(bucket.count for bucket in buckets) else ()
    rows = tuple(ClimateRow(_when(shown, part, manner), *_cells(part, manner.unit)) for part in parts)
    return ClimateView(_summary(shown, parts, manner), charts, rows)


def _summary(shown: Window, parts: tuple[HourSummary, ...], manner: Manner) -> str:
    name = shown.name(manner.zone)
    temps = [(part.temp_c, part.temp_h) for part in parts if part.temp_c is not None and part.temp_h > 0.0]
    if not temps:
        return f"{name}: nothing was measured."
    known_h = sum(weight for _, weight in temps)
    mean_c = sum(spread.mean * weight for spread, weight in temps) / known_h
    good_h = sum(part.good_h for part in parts)
    return (
        f"{name}: {temp_text(min(spread.low for spread, _ in temps), manner.unit)} to "
        f"{temp_text(max(spread.high for spread, _ in temps), manner.unit)}, "
        f"{temp_text(mean_c, manner.unit)} on average; in the good range, "
        f"{span_text(GOOD_LOW_C, GOOD_HIGH_C, manner.unit)}, for {share_text(min(good_h / known_h, 1.0))} of the hours "
        "whose temperature is known (direct sun is left out)."
    )


def _when(shown: Window, part: HourSummary, manner: Manner) -> str:
    if shown.span.row == "hour":
        return clock_text(part.start_at, manner.zone)
    day = day_text(part.start_at, manner.zone)
    return f"from {day}" if shown.span.row == "week" else day


@lru_cache(maxsize=256)  # of the lines of all spans' tables, a minute changes one each
def _cells(part: HourSummary, unit: TempUnit) -> tuple[str, str, str, str]:
    return (
        _cell(part.temp_c, lambda temp_c: number_text(temp_in(temp_c, unit), 1)),
        _cell(part.rh_pct, number_text),
        _cell(part.light_lx, lambda light_lx: light_text(light_lx).removesuffix(" lx")),
        conditions_text(part.raised_h),
    )


def conditions_text(raised_h: Iterable[tuple[Kind, float]]) -> str:
    """Return how long each condition held: "cold 1.8 h, damp 20 min"."""
    return ", ".join(f"{WORDS[kind]} {_hours_text(held_h)}" for kind, held_h in raised_h)


def _hours_text(held_h: float) -> str:
    minutes = round(held_h * 60.0)
    return f"{number_text(held_h, 1)} h" if minutes >= 60 else f"{minutes} min"


def _cell(spread: Spread | None, text: Callable[[float], str]) -> str:
    """Return "20.1 (17.2 to 22.8)"; "–" where nothing was measured."""
    return "–" if spread is None else f"{text(spread.mean)} ({text(spread.low)} to {text(spread.high)})"
