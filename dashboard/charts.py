"""A chart of the shelf as SVG: the course of one quantity with its good range, gaps, spells and jars drawn in.

Everything is told by shape and word as well as by colour, so that it can be read in black and white.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from dashboard.course import Course, Line, drawn, drawn_ahead, drawn_beside, gaps, hatch, line_of
from dashboard.plot import BELOW, FLOOR, LEFT, LETTER, RIGHT, TOP, WIDTH, Plot, axes
from dashboard.scales import Scale, log_ticks, time_ticks, value_ticks
from dashboard.spells import LANE_HEIGHT, Spell, bars_of, drawn_lanes, lanes_of, strips, veils
from dashboard.svg import element, number, text_of
from station.domain.moments import clock_text, day_text

DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Chart:
    """What one chart shows.

    Args:
        key: a short name, unique on the page; letters only.
        title, description: for everybody, and for those who do not see the picture.
        unit: written above the axis.
        since_at, until_at: the stretch of time, aware.
        zone: of local times.
        course: what is drawn.
        good: the good range in the chart's unit, if there is one.
        good_name: what is written in it.
        spells: conditions, drawn as strips over the plot.
        jars: jar spans, drawn as lanes below.
        log: a logarithmic axis, for light.
        expected: how it is likely to go on after the course, drawn dashed.
        beside: how it would have been otherwise, drawn dashed beside the course.
        say: a value in words, with its unit.
        moments: whether each step is a moment, not a span.
    """

    key: str
    title: str
    description: str
    unit: str
    since_at: datetime
    until_at: datetime
    zone: tzinfo
    course: Course
    good: tuple[float, float] | None = None
    good_name: str = ""
    spells: tuple[Spell, ...] = ()
    jars: tuple[Spell, ...] = ()
    log: bool = False
    expected: Course | None = None
    beside: Course | None = None
    say: Callable[[float], str] = number
    moments: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """What a chart says of one of its steps.

    Args:
        x: how far across the picture it is drawn, 0 to 1.
        text: when it was, and its values.
    """

    x: float
    text: str


def chart_svg(chart: Chart) -> str:
    """Return the chart as one `<svg>` element."""
    plot, lanes = _plot(chart), lanes_of(chart.jars)
    bars = bars_of(chart.spells, plot)
    return element(
        "svg",
        element("title", text_of(chart.title), id=f"{chart.key}-title"),
        element("desc", text_of(chart.description), id=f"{chart.key}-desc"),
        hatch(chart.key),
        *_good_range(chart, plot),
        *gaps(chart.course, plot, chart.expected.at_s[0] if chart.expected else plot.across.high, chart.key),
        *veils(bars),
        *axes(plot, time_ticks(chart.since_at, chart.until_at, chart.zone), chart.unit),
        *_curves(chart, plot),
        *strips(bars),
        *drawn_lanes(lanes, plot),
        class_="chart",
        viewBox=f"0 0 {number(WIDTH)} {number(BELOW + LANE_HEIGHT * len(lanes))}",
        role="img",
        aria_labelledby=f"{chart.key}-title {chart.key}-desc",
    )


def chart_steps(chart: Chart) -> tuple[Step, ...]:
    """Return each step that is drawn, with its exact values in words."""
    course, across = chart.course, _across(chart)
    columns = zip(course.at_s, course.low, course.mean, course.high, strict=True)
    return tuple(
        Step(round(across(at_s) / WIDTH, 4), f"{_when(chart, at_s)}: {_said(chart.say, low, mean, high)}")
        for at_s, low, mean, high in columns
    )


def place_of(chart: Chart, at: datetime) -> float:
    """Return how far across the picture a time is drawn, 0 to 1."""
    return round(_across(chart)(at.timestamp()) / WIDTH, 4)


def _when(chart: Chart, at_s: float) -> str:
    """Say when a step begins; one of a whole day or more by its middle, which lies in the local day it is about."""
    step_s = 0.0 if chart.moments else chart.course.step_s
    if step_s >= DAY_S:
        return day_text(datetime.fromtimestamp(at_s, UTC), chart.zone)
    begin_at = datetime.fromtimestamp(at_s - step_s / 2, UTC)
    return f"{day_text(begin_at, chart.zone)} {clock_text(begin_at, chart.zone)}"


def _said(say: Callable[[float], str], low: float, mean: float, high: float) -> str:
    least, middle, most = say(low), say(mean), say(high)
    return middle if least == most else f"{middle} ({least} to {most})"


def _across(chart: Chart) -> Scale:
    return Scale(chart.since_at.timestamp(), chart.until_at.timestamp(), LEFT, WIDTH - RIGHT)


def _plot(chart: Chart) -> Plot:
    good = chart.good or ()
    ahead = chart.expected.high if chart.expected else ()
    low_beside, high_beside = (chart.beside.low, chart.beside.high) if chart.beside else ((), ())
    low = min((*chart.course.low, *low_beside, *good[:1]), default=0.0)
    high = max((*chart.course.high, *high_beside, *good[1:], *ahead), default=1.0)
    ticks = log_ticks(max(low, 1.0), max(high, 10.0)) if chart.log else value_ticks(low, max(high, low + 1.0))
    return Plot(_across(chart), Scale(ticks[0].value, ticks[-1].value, FLOOR, TOP, chart.log), ticks)


def _good_range(chart: Chart, plot: Plot) -> list[str]:
    if chart.good is None:
        return []
    low_y, high_y = plot.up(chart.good[0]), plot.up(chart.good[1])
    wide = WIDTH - RIGHT - LEFT
    edges = f"M{number(LEFT)} {number(high_y)}h{number(wide)}M{number(LEFT)} {number(low_y)}h{number(wide)}"
    return [
        element("rect", x=LEFT, y=high_y, width=wide, height=low_y - high_y, class_="good"),
        element("path", d=edges, class_="good-edge"),
    ]


def _curves(chart: Chart, plot: Plot) -> list[str]:
    """Draw the course and what is beside and after it, and write the name of the good range clear of them all."""
    line = line_of(chart.course, plot)
    beside = line_of(chart.beside, plot) if chart.beside else None
    expected = line_of(chart.expected, plot) if chart.expected else None
    return [
        *drawn(chart.course, plot, line),
        *(drawn_beside(chart.beside, beside) if chart.beside and beside else ()),
        *(drawn_ahead(expected) if expected else ()),
        _good_name(chart, plot, [one for one in (line, beside, expected) if one]),
    ]


def _good_name(chart: Chart, plot: Plot, lines: list[Line]) -> str:
    """Write what the good range is called, over the curve: at the right, or at the left if only there it is clear."""
    if chart.good is None:
        return ""
    y, wide = plot.up(chart.good[1]) + 14, LETTER * len(chart.good_name) + 4
    name = text_of(chart.good_name)
    if _crossed(lines, WIDTH - RIGHT - wide, wide, y) and not _crossed(lines, LEFT, wide, y):
        return element("text", name, x=LEFT + 4, y=y, **_HALO)
    return element("text", name, x=WIDTH - RIGHT - 4, y=y, text_anchor="end", **_HALO)


_HALO = {"class_": "good-name", "paint_order": "stroke"}
"""Words with an edge of the ground's colour under them, so that a curve does not run into their letters."""


def _crossed(lines: list[Line], left: float, wide: float, y: float) -> bool:
    """Whether a curve runs through words that begin at `left`, are so wide, and stand on `y`."""
    return any(one.passes((left, left + wide), (y - 14, y + 4)) for one in lines)
