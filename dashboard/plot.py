"""Where the plot of a chart lies in its picture, its two scales, and the axes beside it."""

from collections.abc import Iterator
from dataclasses import dataclass

from dashboard.scales import Scale, Tick
from dashboard.svg import element, number, text_of

WIDTH = 400.0
LEFT, RIGHT, TOP = 58.0, 8.0, 26.0
PLOT_HEIGHT = 170.0
FLOOR = TOP + PLOT_HEIGHT
AXIS_HEIGHT = 24.0
BELOW = FLOOR + AXIS_HEIGHT
"""Where what lies under the axis of times begins."""
EDGE = 4.0
"""So much room a label keeps to the right: some fonts are wider than guessed."""
LETTER = 6.9
"""About how wide a letter of the charts' text is."""


@dataclass(frozen=True, slots=True)
class Plot:
    """The two scales of a chart, with the ticks beside them.

    Args:
        across: from seconds since the epoch to the right.
        up: from the chart's own unit upwards.
        ticks: values; the first stands at the floor, the last at the top.
    """

    across: Scale
    up: Scale
    ticks: tuple[Tick, ...]


def axes(plot: Plot, times: tuple[Tick, ...], unit: str) -> list[str]:
    """Draw the axes.

    Args:
        plot: where.
        times: the ticks below, seconds since the epoch.
        unit: of the values, written above.
    """
    lines = "".join(f"M{number(LEFT)} {number(plot.up(tick.value))}H{number(WIDTH - RIGHT)}" for tick in plot.ticks)
    marks = "".join(f"M{number(plot.across(tick.value))} {number(FLOOR)}v5" for tick in times)
    values = [
        element("text", tick.label, x=LEFT - 5, y=plot.up(tick.value) + 4, text_anchor="end") for tick in plot.ticks
    ]
    return [
        element("path", d=lines, class_="grid"),
        element("path", d=f"M{number(LEFT)} {number(FLOOR)}H{number(WIDTH - RIGHT)}{marks}", class_="axis"),
        *values,
        *_time_labels(times, plot),
        _unit(unit),
    ]


def _unit(unit: str) -> str:
    """Write the unit over the axis; one too long for the margin begins at the edge of the picture."""
    if LETTER * len(unit) > LEFT - 5:
        return element("text", text_of(unit), x=0, y=TOP - 11, class_="unit")
    return element("text", text_of(unit), x=LEFT - 5, y=TOP - 11, text_anchor="end", class_="unit")


def _time_labels(times: tuple[Tick, ...], plot: Plot) -> Iterator[str]:
    """Write times under their marks, but within the picture; one that would run into the one before is left out."""
    free_x = 0.0
    for tick in times:
        half = LETTER * len(tick.label) / 2
        x = min(max(plot.across(tick.value), half), WIDTH - EDGE - half)
        if x - half >= free_x:
            free_x = x + half
            yield element("text", tick.label, x=x, y=FLOOR + 18, text_anchor="middle", class_="time")
