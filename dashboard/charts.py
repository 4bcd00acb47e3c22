"""A chart of the shelf as SVG: the course of one quantity with its good range, gaps, spells and jars drawn in.

Everything is told by shape and word as well as by colour, so that it can be read in black and white.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from itertools import pairwise
from typing import NamedTuple

from dashboard.scales import Scale, Tick, log_ticks, time_ticks, value_ticks
from dashboard.svg import element, number, polyline, text_of
from station.domain.sentences import clock_text, day_text

WIDTH = 400.0
LEFT, RIGHT, TOP = 58.0, 8.0, 26.0
PLOT_HEIGHT = 170.0
AXIS_HEIGHT = 24.0
LANE_HEIGHT = 20.0
LETTER = 6.9
"""About how wide a letter of the charts' text is."""
LEAST_APART = 1.0
"""Two spells nearer to each other than this, in units of the picture, are drawn as one."""
DAY_S = 86_400.0
GAP_SLACK = 1.6
"""Two steps further apart than this many times their length have a gap between them."""


@dataclass(frozen=True, slots=True)
class Course:
    """The course of a quantity in steps, column by column because there are many; steps without a value left out.

    Args:
        at_s: middle of each step, seconds since the epoch, rising.
        low, mean, high: the least, the mean and the greatest value of each step, in the chart's own unit.
        step_s: how far two neighbouring steps lie apart, seconds.
    """

    at_s: tuple[float, ...]
    low: tuple[float, ...]
    mean: tuple[float, ...]
    high: tuple[float, ...]
    step_s: float

    def parts(self) -> list[slice]:
        """Return the stretches without a gap, which is never bridged."""
        most_s = self.step_s * GAP_SLACK
        breaks = [n for n, (one, other) in enumerate(pairwise(self.at_s), 1) if other - one > most_s]
        return [slice(begin, end) for begin, end in pairwise([0, *breaks, len(self.at_s)])] if self.at_s else []


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of time with a name, such as a condition or a jar on the shelf; open ended when `until_at` is None."""

    since_at: datetime
    until_at: datetime | None
    name: str
    look: str = ""


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


@dataclass(frozen=True, slots=True)
class _Frame:
    """The two scales of a chart, with the ticks beside them."""

    across: Scale
    up: Scale
    ticks: tuple[Tick, ...]

    def points(self, course: Course) -> "_Points":
        """Return where the line of a course runs."""
        return _Points(self.across.all(course.at_s), self.up.all(course.mean))


class _Points(NamedTuple):
    """Points from left to right."""

    xs: list[float]
    ys: list[float]


class _Bar(NamedTuple):
    """Where a spell is drawn, from edge to edge."""

    name: str
    look: str
    left: float
    right: float


def chart_svg(chart: Chart) -> str:
    """Return the chart as one `<svg>` element."""
    frame = _frame(chart)
    lanes, bars, points = _lanes(chart.jars), _bars(chart.spells, frame), frame.points(chart.course)
    height = TOP + PLOT_HEIGHT + AXIS_HEIGHT + LANE_HEIGHT * len(lanes)
    return element(
        "svg",
        element("title", text_of(chart.title), id=f"{chart.key}-title"),
        element("desc", text_of(chart.description), id=f"{chart.key}-desc"),
        _hatch(chart.key),
        *_good_range(chart, frame),
        *_gaps(chart, frame),
        *_veils(bars),
        *_axes(chart, frame),
        *_course(chart.course, frame, points),
        *_beside(chart, frame),
        *_expected(chart, frame),
        _good_name(chart, frame, points),
        *_strips(bars),
        *[
            _lane(jar, row, frame, before)
            for row, lane in enumerate(lanes)
            for before, jar in zip([None, *lane], lane, strict=False)
        ],
        class_="chart",
        viewBox=f"0 0 {number(WIDTH)} {number(height)}",
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


def _frame(chart: Chart) -> _Frame:
    good = chart.good or ()
    ahead = chart.expected.high if chart.expected else ()
    low_beside, high_beside = (chart.beside.low, chart.beside.high) if chart.beside else ((), ())
    low = min((*chart.course.low, *low_beside, *good[:1]), default=0.0)
    high = max((*chart.course.high, *high_beside, *good[1:], *ahead), default=1.0)
    ticks = log_ticks(max(low, 1.0), max(high, 10.0)) if chart.log else value_ticks(low, max(high, low + 1.0))
    return _Frame(_across(chart), Scale(ticks[0].value, ticks[-1].value, TOP + PLOT_HEIGHT, TOP, chart.log), ticks)


def _hatch(key: str) -> str:
    line = element("path", d="M0 6L6 0", class_="hatch-line")
    pattern = element("pattern", line, id=f"{key}-gap", width=6, height=6, patternUnits="userSpaceOnUse")
    return element("defs", pattern)


def _good_range(chart: Chart, frame: _Frame) -> list[str]:
    if chart.good is None:
        return []
    low_y, high_y = frame.up(chart.good[0]), frame.up(chart.good[1])
    wide = WIDTH - RIGHT - LEFT
    edges = f"M{number(LEFT)} {number(high_y)}h{number(wide)}M{number(LEFT)} {number(low_y)}h{number(wide)}"
    return [
        element("rect", x=LEFT, y=high_y, width=wide, height=low_y - high_y, class_="good"),
        element("path", d=edges, class_="good-edge"),
    ]


def _good_name(chart: Chart, frame: _Frame, points: _Points) -> str:
    """Write what the good range is called, over the curve: at the right, or at the left if only there it is clear."""
    if chart.good is None:
        return ""
    y, wide = frame.up(chart.good[1]) + 14, LETTER * len(chart.good_name) + 4
    name = text_of(chart.good_name)
    lines = [points, *[frame.points(one) for one in (chart.expected, chart.beside) if one is not None]]
    if _crossed(lines, WIDTH - RIGHT - wide, wide, y) and not _crossed(lines, LEFT, wide, y):
        return element("text", name, x=LEFT + 4, y=y, **_HALO)
    return element("text", name, x=WIDTH - RIGHT - 4, y=y, text_anchor="end", **_HALO)


_HALO = {"class_": "good-name", "paint_order": "stroke"}
"""Words with an edge of the ground's colour under them, so that a curve does not run into their letters."""


def _crossed(lines: Iterable[_Points], left: float, wide: float, y: float) -> bool:
    """Whether a curve runs through words that begin at `left`, are so wide, and stand on `y`."""
    return any(_passes(one, (left, left + wide), (y - 14, y + 4)) for one in lines)


def _passes(line: _Points, wide: tuple[float, float], high: tuple[float, float]) -> bool:
    """Whether a line passes through a box."""
    near = slice(max(bisect_left(line.xs, wide[0]) - 1, 0), bisect_right(line.xs, wide[1]) + 1)
    points = zip(line.xs[near], line.ys[near], strict=True)
    for (x, y), (next_x, next_y) in pairwise(points):
        begin, end = max(x, wide[0]), min(next_x, wide[1])
        if begin < end:
            ys = [y + (next_y - y) * (at - x) / (next_x - x) for at in (begin, end)]
            if min(ys) <= high[1] and max(ys) >= high[0]:
                return True
    return False


def _gaps(chart: Chart, frame: _Frame) -> list[str]:
    """Hatch every stretch in which nothing was measured."""
    end_s = chart.expected.at_s[0] if chart.expected else chart.until_at.timestamp()
    times = (chart.since_at.timestamp(), *chart.course.at_s, end_s)
    most_s = chart.course.step_s * GAP_SLACK
    wide = [(one, other) for one, other in pairwise(times) if other - one > most_s]
    return [_gap(chart.key, frame.across(one), frame.across(other)) for one, other in wide]


def _gap(key: str, left: float, right: float) -> str:
    box = {"x": left, "y": TOP, "width": right - left, "height": PLOT_HEIGHT}
    words = "not known"
    name = element(
        "text", words, x=(left + right) / 2, y=TOP + PLOT_HEIGHT - 8, class_="gap-name", text_anchor="middle"
    )
    fits = right - left > LETTER * len(words)
    return element("rect", fill=f"url(#{key}-gap)", **box) + (name if fits else "")


def _axes(chart: Chart, frame: _Frame) -> list[str]:
    lines = "".join(f"M{number(LEFT)} {number(frame.up(tick.value))}H{number(WIDTH - RIGHT)}" for tick in frame.ticks)
    floor = TOP + PLOT_HEIGHT
    times = time_ticks(chart.since_at, chart.until_at, chart.zone)
    marks = "".join(f"M{number(frame.across(tick.value))} {number(floor)}v5" for tick in times)
    values = [
        element("text", tick.label, x=LEFT - 5, y=frame.up(tick.value) + 4, text_anchor="end") for tick in frame.ticks
    ]
    return [
        element("path", d=lines, class_="grid"),
        element("path", d=f"M{number(LEFT)} {number(floor)}H{number(WIDTH - RIGHT)}{marks}", class_="axis"),
        *values,
        *_time_labels(times, frame),
        _unit(chart.unit),
    ]


def _unit(unit: str) -> str:
    """Write the unit over the axis; one too long for the margin begins at the edge of the picture."""
    if LETTER * len(unit) > LEFT - 5:
        return element("text", text_of(unit), x=0, y=TOP - 11, class_="unit")
    return element("text", text_of(unit), x=LEFT - 5, y=TOP - 11, text_anchor="end", class_="unit")


def _time_labels(times: tuple[Tick, ...], frame: _Frame) -> Iterator[str]:
    """Write times under their marks, but within the picture; one that would run into the one before is left out."""
    free_x = 0.0
    for tick in times:
        half = LETTER * len(tick.label) / 2
        x = min(max(frame.across(tick.value), half), WIDTH - half)
        if x - half >= free_x:
            free_x = x + half
            yield element("text", tick.label, x=x, y=TOP + PLOT_HEIGHT + 18, text_anchor="middle", class_="time")


def _expected(chart: Chart, frame: _Frame) -> list[str]:
    """Draw how it is likely to go on, dashed, from a mark for the present."""
    if chart.expected is None:
        return []
    xs, ys = frame.across.all(chart.expected.at_s), frame.up.all(chart.expected.mean)
    line = element("path", d=polyline(zip(xs, ys, strict=True)), class_="course expected")
    return [line, element("circle", cx=xs[0], cy=ys[0], r=3.5, class_="dot")]


def _beside(chart: Chart, frame: _Frame) -> list[str]:
    """Draw how it would have been otherwise, dashed, part by part."""
    course = chart.beside
    if course is None:
        return []
    xs, ys = frame.across.all(course.at_s), frame.up.all(course.mean)
    lines = [polyline(zip(xs[part], ys[part], strict=True)) for part in course.parts()]
    return [element("path", d=line, class_="course beside-it") for line in lines]


def _course(course: Course, frame: _Frame, points: _Points) -> list[str]:
    """Draw the band from least to greatest, and the line of the means, part by part."""
    low, high = frame.up.all(course.low), frame.up.all(course.high)
    shapes: list[str] = []
    for part in course.parts():
        xs = points.xs[part]
        outline = [*zip(xs, high[part], strict=True), *zip(xs[::-1], low[part][::-1], strict=True)]
        shapes += [element("path", d=polyline(outline) + "Z", class_="band"), _line(xs, points.ys[part])]
    return shapes


def _line(xs: list[float], ys: list[float]) -> str:
    if len(xs) == 1:
        return element("circle", cx=xs[0], cy=ys[0], r=2, class_="dot")
    return element("path", d=polyline(zip(xs, ys, strict=True)), class_="course")


def _bars(spells: tuple[Spell, ...], frame: _Frame) -> list[_Bar]:
    """Return where spells are drawn; those of one name as one where nothing could be seen between them."""
    bars: list[_Bar] = []
    last: dict[str, int] = {}
    for spell in spells:
        left, right = _edges(spell, frame)
        at = last.get(spell.name)
        if at is not None and bars[at].right + LEAST_APART > left:
            bars[at] = bars[at]._replace(right=max(bars[at].right, right))
        else:
            last[spell.name] = len(bars)
            bars.append(_Bar(spell.name, spell.look, left, right))
    return bars


def _edges(spell: Spell, frame: _Frame) -> tuple[float, float]:
    end = frame.across.high if spell.until_at is None else spell.until_at.timestamp()
    left, right = frame.across(spell.since_at.timestamp()), frame.across(end)
    return left, max(right, left + 2.0)


def _veils(bars: list[_Bar]) -> list[str]:
    """Shade the plot, under the curve, for as long as conditions held: each of them in one shape."""
    return [
        element("path", d=_shape(alike, TOP, PLOT_HEIGHT), class_=f"veil {alike[0].look}") for alike in _sorts(bars)
    ]


def _strips(bars: list[_Bar]) -> list[str]:
    """Draw conditions as bars above the plot, each of them in one shape, with its name where there is room."""
    return [part for alike in _sorts(bars) for part in (_strip(alike), *_names(alike))]


def _sorts(bars: list[_Bar]) -> list[list[_Bar]]:
    """Return bars by the condition they are about."""
    sorts: dict[tuple[str, str], list[_Bar]] = {}
    for bar in bars:
        sorts.setdefault((bar.name, bar.look), []).append(bar)
    return list(sorts.values())


def _shape(bars: list[_Bar], top: float, height: float) -> str:
    """Return the `d` of a path of boxes."""
    ends = f"V{number(top + height)}"
    return "".join(
        [f"M{number(left)} {number(top)}H{number(right)}{ends}H{number(left)}Z" for _, _, left, right in bars]
    )


def _strip(alike: list[_Bar]) -> str:
    name, look, *_ = alike[0]
    return element("path", element("title", text_of(name)), d=_shape(alike, TOP - 5, 5), class_=f"strip {look}")


def _names(alike: list[_Bar]) -> list[str]:
    name, wide = text_of(alike[0].name), LETTER * len(alike[0].name)
    return [
        element("text", name, x=left, y=TOP - 9, class_="strip-name")
        for _, _, left, right in alike
        if right - left > wide
    ]


def _lanes(jars: tuple[Spell, ...]) -> list[list[Spell]]:
    """Put jars into as few lanes as they need without overlapping."""
    lanes: list[list[Spell]] = []
    for jar in sorted(jars, key=lambda one: one.since_at):
        free = (lane for lane in lanes if (end := lane[-1].until_at) is not None and end <= jar.since_at)
        lane = next(free, None)
        if lane is None:
            lanes.append([jar])
        else:
            lane.append(jar)
    return lanes


def _lane(jar: Spell, row: int, frame: _Frame, before: Spell | None) -> str:
    """Draw a jar's time on the shelf, with its name in the bar, or beside it where the bar is too short."""
    left, right = _edges(jar, frame)
    y = TOP + PLOT_HEIGHT + AXIS_HEIGHT + row * LANE_HEIGHT
    bar = element("rect", x=left, y=y + 2, width=right - left, height=LANE_HEIGHT - 4, rx=5, class_="jar-span")
    free_x = LEFT if before is None else _edges(before, frame)[1]
    return element("g", element("title", text_of(jar.name)), bar, _lane_name(jar.name, left, right, free_x, y + 14))


def _lane_name(name: str, left: float, right: float, free_x: float, y: float) -> str:
    """Write a jar's name into its bar, else before it, else as much of it as the bar holds."""
    most, before = (max(int((wide - 10) / LETTER), 0) for wide in (right - left, left - free_x))
    if most < len(name) <= before:
        return element("text", text_of(name), x=left - 5, y=y, class_="jar-name beside", text_anchor="end")
    short = name if len(name) <= most else f"{name[: most - 1]}…" if most > 3 else ""
    return element("text", text_of(short), x=left + 6, y=y, class_="jar-name") if short else ""
