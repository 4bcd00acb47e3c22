"""How seeds came up, as SVG: a curve for each arm of a trial, told apart by mark and dash as well as by colour.

Between two counts nobody looked: the curve joins them by a straight line and marks every count.
"""

from dataclasses import dataclass
from itertools import pairwise

from dashboard.scales import Scale, Tick, value_ticks
from dashboard.svg import element, number, polyline, text_of

WIDTH, HEIGHT = 400.0, 236.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 116.0, 26.0, 40.0
LINE_HEIGHT = 15.0
"""Names at the ends of curves are kept this far apart."""
SPREAD = 8.0
"""The ranges at the ends of curves stand this far apart, the first as far from the curves."""
LETTER = 7.2
"""About how wide a letter of a name is."""
LOOKS = 4
"""So many arms have a mark, a dash and a colour of their own; then they come again."""


@dataclass(frozen=True, slots=True)
class Curve:
    """One arm.

    Args:
        name: of the arm.
        points: days since sowing and percent germinated by then, in order; the first at 0, 0.
        low, high: the range that the last count leaves open, percent.
    """

    name: str
    points: tuple[tuple[float, float], ...]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class GerminationChart:
    """The curves of a trial.

    Args:
        key: a short name, unique on the page; letters only.
        title, description: for everybody, and for those who do not see the picture.
        curves: one an arm.
    """

    key: str
    title: str
    description: str
    curves: tuple[Curve, ...]


@dataclass(frozen=True, slots=True)
class _Frame:
    across: Scale
    up: Scale
    days: tuple[Tick, ...]


def germination_svg(chart: GerminationChart) -> str:
    """Return the chart as one `<svg>` element."""
    frame = _frame(chart)
    heights = _apart([frame.up(curve.points[-1][1]) for curve in chart.curves])
    return element(
        "svg",
        element("title", text_of(chart.title), id=f"{chart.key}-title"),
        element("desc", text_of(chart.description), id=f"{chart.key}-desc"),
        *_axes(frame),
        *[_range(curve, n, frame) for n, curve in enumerate(chart.curves)],
        *[_curve(curve, n, frame) for n, curve in enumerate(chart.curves)],
        *[
            _name(curve.name, n, y, _names_x(chart))
            for n, (curve, y) in enumerate(zip(chart.curves, heights, strict=True))
        ],
        class_="chart",
        viewBox=f"0 0 {number(WIDTH)} {number(HEIGHT)}",
        role="img",
        aria_labelledby=f"{chart.key}-title {chart.key}-desc",
    )


def _frame(chart: GerminationChart) -> _Frame:
    last = max((curve.points[-1][0] for curve in chart.curves), default=1.0)
    days = tuple(tick for tick in value_ticks(0.0, max(last, 1.0)) if tick.value <= max(last, 1.0))
    across = Scale(0.0, max(last, 1.0), LEFT, WIDTH - RIGHT)
    return _Frame(across, Scale(0.0, 100.0, HEIGHT - BOTTOM, TOP), days)


def _axes(frame: _Frame) -> list[str]:
    floor, right = HEIGHT - BOTTOM, WIDTH - RIGHT
    shares = value_ticks(0.0, 100.0)
    lines = "".join(f"M{number(LEFT)} {number(frame.up(tick.value))}H{number(right)}" for tick in shares)
    marks = "".join(f"M{number(frame.across(tick.value))} {number(floor)}v5" for tick in frame.days)
    values = [element("text", tick.label, x=LEFT - 6, y=frame.up(tick.value) + 4, text_anchor="end") for tick in shares]
    days = [
        element("text", tick.label, x=frame.across(tick.value), y=floor + 18, text_anchor="middle", class_="time")
        for tick in frame.days
    ]
    return [
        element("path", d=lines, class_="grid"),
        element("path", d=f"M{number(LEFT)} {number(floor)}H{number(right)}{marks}", class_="axis"),
        *values,
        *days,
        element("text", "%", x=LEFT - 6, y=TOP - 11, text_anchor="end", class_="unit"),
        element("text", "days since sowing", x=(LEFT + right) / 2, y=HEIGHT - 6, text_anchor="middle", class_="time"),
    ]


def _curve(curve: Curve, n: int, frame: _Frame) -> str:
    places = [(frame.across(day), frame.up(share)) for day, share in curve.points]
    line = element("path", d=polyline(places), class_="arm-line")
    marks = "".join(_MARKS[n % LOOKS](x, y) for x, y in places[1:])
    return element("g", line, element("path", d=marks, class_="arm-mark"), class_=f"arm-{n % LOOKS}")


def _circle(x: float, y: float) -> str:
    return f"M{number(x - 4)} {number(y)}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z"


def _square(x: float, y: float) -> str:
    return f"M{number(x - 3.6)} {number(y - 3.6)}h7.2v7.2h-7.2Z"


def _triangle(x: float, y: float) -> str:
    return f"M{number(x)} {number(y - 5)}l4.6 8.4h-9.2Z"


def _diamond(x: float, y: float) -> str:
    return f"M{number(x)} {number(y - 5.4)}l5.4 5.4l-5.4 5.4l-5.4 -5.4Z"


_MARKS = (_circle, _square, _triangle, _diamond)


def _range(curve: Curve, n: int, frame: _Frame) -> str:
    """Draw what the last count leaves open, as a bar with two feet beside the curves."""
    x = WIDTH - RIGHT + SPREAD * (n + 1)
    low, high = frame.up(curve.low), frame.up(curve.high)
    feet = f"M{number(x - 3)} {number(low)}h6M{number(x)} {number(low)}V{number(high)}M{number(x - 3)} {number(high)}h6"
    return element("g", element("path", d=feet, class_="arm-range"), class_=f"arm-{n % LOOKS}")


def _names_x(chart: GerminationChart) -> float:
    """Return where the names begin, behind the ranges; so many fit that at least a few letters are left."""
    return WIDTH - RIGHT + SPREAD * (min(len(chart.curves), LOOKS) + 2)


def _name(name: str, n: int, y: float, x: float) -> str:
    most = int((WIDTH - x - 9) / LETTER)
    short = name if len(name) <= most else f"{name[: most - 1]}…"
    mark = element("path", d=_MARKS[n % LOOKS](x, y - 4), class_="arm-mark")
    words = element("text", text_of(short), x=x + 9, y=y, class_="arm-name")
    return element("g", mark, words, class_=f"arm-{n % LOOKS}")


def _apart(heights: list[float]) -> list[float]:
    """Return where names stand: beside their curves, but never on one another, and within the plot."""
    order = sorted(range(len(heights)), key=lambda n: heights[n])
    placed = [heights[n] + 4 for n in order]
    for before, after in pairwise(range(len(placed))):
        placed[after] = max(placed[after], placed[before] + LINE_HEIGHT)
    floor = HEIGHT - BOTTOM + 4
    for n in reversed(range(len(placed))):
        placed[n] = min(placed[n], floor)
        floor = placed[n] - LINE_HEIGHT
    found = dict(zip(order, placed, strict=True))
    return [found[n] for n in range(len(heights))]
