"""The course of a quantity on a chart: its line, the band from least to greatest, and its gaps."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from dashboard.plot import FLOOR, LETTER, PLOT_HEIGHT, TOP, Plot
from dashboard.svg import element, polyline

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


class Line(NamedTuple):
    """The points of a course's means, from left to right."""

    xs: list[float]
    ys: list[float]

    def passes(self, wide: tuple[float, float], high: tuple[float, float]) -> bool:
        """Whether it passes through a box."""
        near = slice(max(bisect_left(self.xs, wide[0]) - 1, 0), bisect_right(self.xs, wide[1]) + 1)
        points = zip(self.xs[near], self.ys[near], strict=True)
        for (x, y), (next_x, next_y) in pairwise(points):
            begin, end = max(x, wide[0]), min(next_x, wide[1])
            if begin < end:
                ys = [y + (next_y - y) * (at - x) / (next_x - x) for at in (begin, end)]
                if min(ys) <= high[1] and max(ys) >= high[0]:
                    return True
        return False


def line_of(course: Course, plot: Plot) -> Line:
    """Return where the line of a course runs."""
    return Line(plot.across.all(course.at_s), plot.up.all(course.mean))


def drawn(course: Course, plot: Plot, line: Line) -> list[str]:
    """Draw the band from least to greatest, and the line of the means, part by part."""
    low, high = plot.up.all(course.low), plot.up.all(course.high)
    shapes: list[str] = []
    for part in course.parts():
        xs = line.xs[part]
        outline = [*zip(xs, high[part], strict=True), *zip(xs[::-1], low[part][::-1], strict=True)]
        shapes += [element("path", d=polyline(outline) + "Z", class_="band"), _part(xs, line.ys[part])]
    return shapes


def _part(xs: list[float], ys: list[float]) -> str:
    if len(xs) == 1:
        return element("circle", cx=xs[0], cy=ys[0], r=2, class_="dot")
    return element("path", d=polyline(zip(xs, ys, strict=True)), class_="course")


def drawn_ahead(expected: Line) -> list[str]:
    """Draw how it is likely to go on, dashed, from a mark for the present."""
    path = element("path", d=polyline(zip(*expected, strict=True)), class_="course expected")
    return [path, element("circle", cx=expected.xs[0], cy=expected.ys[0], r=3.5, class_="dot")]


def drawn_beside(course: Course, line: Line) -> list[str]:
    """Draw how it would have been otherwise, dashed, part by part."""
    paths = [polyline(zip(line.xs[part], line.ys[part], strict=True)) for part in course.parts()]
    return [element("path", d=path, class_="course beside-it") for path in paths]


def gaps(course: Course, plot: Plot, end_s: float, key: str) -> list[str]:
    """Hatch every stretch in which nothing was measured.

    Args:
        course: what was measured.
        plot: where it is drawn, from its left edge on.
        end_s: until when something ought to have been, seconds since the epoch.
        key: of the chart, whose `hatch` fills them.
    """
    times = (plot.across.low, *course.at_s, end_s)
    most_s = course.step_s * GAP_SLACK
    wide = [(one, other) for one, other in pairwise(times) if other - one > most_s]
    return [_gap(key, plot.across(one), plot.across(other)) for one, other in wide]


def _gap(key: str, left: float, right: float) -> str:
    box = {"x": left, "y": TOP, "width": right - left, "height": PLOT_HEIGHT}
    words = "not known"
    name = element("text", words, x=(left + right) / 2, y=FLOOR - 8, class_="gap-name", text_anchor="middle")
    fits = right - left > LETTER * len(words)
    return element("rect", fill=f"url(#{key}-gap)", **box) + (name if fits else "")


def hatch(key: str) -> str:
    """Return the pattern of the gaps of a chart."""
    line = element("path", d="M0 6L6 0", class_="hatch-line")
    pattern = element("pattern", line, id=f"{key}-gap", width=6, height=6, patternUnits="userSpaceOnUse")
    return element("defs", pattern)
