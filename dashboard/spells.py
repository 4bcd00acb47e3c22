"""Stretches of time on a chart: conditions as strips above and veils in its plot, jars as bars in lanes below."""

from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from dashboard.plot import BELOW, LEFT, LETTER, PLOT_HEIGHT, TOP, Plot
from dashboard.svg import element, number, text_of

LANE_HEIGHT = 20.0
LEAST_APART = 1.0
"""Two spells nearer to each other than this, in units of the picture, are drawn as one."""


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of time with a name, such as a condition or a jar on the shelf; open ended when `until_at` is None."""

    since_at: datetime
    until_at: datetime | None
    name: str
    look: str = ""


class Bar(NamedTuple):
    """Where a spell is drawn, from edge to edge."""

    name: str
    look: str
    left: float
    right: float


def bars_of(spells: tuple[Spell, ...], plot: Plot) -> list[Bar]:
    """Return where spells are drawn; those of one name as one where nothing could be seen between them."""
    bars: list[Bar] = []
    last: dict[str, int] = {}
    for spell in spells:
        left, right = _edges(spell, plot)
        at = last.get(spell.name)
        if at is not None and bars[at].right + LEAST_APART > left:
            bars[at] = bars[at]._replace(right=max(bars[at].right, right))
        else:
            last[spell.name] = len(bars)
            bars.append(Bar(spell.name, spell.look, left, right))
    return bars


def _edges(spell: Spell, plot: Plot) -> tuple[float, float]:
    end = plot.across.high if spell.until_at is None else spell.until_at.timestamp()
    left, right = plot.across(spell.since_at.timestamp()), plot.across(end)
    return left, max(right, left + 2.0)


def veils(bars: list[Bar]) -> list[str]:
    """Shade the plot, under the curve, for as long as conditions held: each of them in one shape."""
    return [
        element("path", d=_shape(alike, TOP, PLOT_HEIGHT), class_=f"veil {alike[0].look}") for alike in _sorts(bars)
    ]


def strips(bars: list[Bar]) -> list[str]:
    """Draw conditions as bars above the plot, each of them in one shape, with its name where there is room."""
    return [part for alike in _sorts(bars) for part in (_strip(alike), *_names(alike))]


def _sorts(bars: list[Bar]) -> list[list[Bar]]:
    """Return bars by the condition they are about."""
    sorts: dict[tuple[str, str], list[Bar]] = {}
    for bar in bars:
        sorts.setdefault((bar.name, bar.look), []).append(bar)
    return list(sorts.values())


def _shape(bars: list[Bar], top: float, height: float) -> str:
    """Return the `d` of a path of boxes."""
    ends = f"V{number(top + height)}"
    return "".join(
        [f"M{number(left)} {number(top)}H{number(right)}{ends}H{number(left)}Z" for _, _, left, right in bars]
    )


def _strip(alike: list[Bar]) -> str:
    name, look, *_ = alike[0]
    return element("path", element("title", text_of(name)), d=_shape(alike, TOP - 5, 5), class_=f"strip {look}")


def _names(alike: list[Bar]) -> list[str]:
    name, wide = text_of(alike[0].name), LETTER * len(alike[0].name)
    return [
        element("text", name, x=left, y=TOP - 9, class_="strip-name")
        for _, _, left, right in alike
        if right - left > wide
    ]


def lanes_of(jars: tuple[Spell, ...]) -> list[list[Spell]]:
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


def drawn_lanes(lanes: list[list[Spell]], plot: Plot) -> list[str]:
    """Draw jars, lane by lane."""
    return [
        _lane(jar, row, plot, before)
        for row, lane in enumerate(lanes)
        for before, jar in zip([None, *lane], lane, strict=False)
    ]


def _lane(jar: Spell, row: int, plot: Plot, before: Spell | None) -> str:
    """Draw a jar's time on the shelf, with its name in the bar, or beside it where the bar is too short."""
    left, right = _edges(jar, plot)
    y = BELOW + row * LANE_HEIGHT
    bar = element("rect", x=left, y=y + 2, width=right - left, height=LANE_HEIGHT - 4, rx=5, class_="jar-span")
    free_x = LEFT if before is None else _edges(before, plot)[1]
    return element("g", element("title", text_of(jar.name)), bar, _lane_name(jar.name, left, right, free_x, y + 14))


def _lane_name(name: str, left: float, right: float, free_x: float, y: float) -> str:
    """Write a jar's name into its bar, else before it, else as much of it as the bar holds."""
    most, before = (max(int((wide - 10) / LETTER), 0) for wide in (right - left, left - free_x))
    if most < len(name) <= before:
        return element("text", text_of(name), x=left - 5, y=y, class_="jar-name beside", text_anchor="end")
    short = name if len(name) <= most else f"{name[: most - 1]}…" if most > 3 else ""
    return element("text", text_of(short), x=left + 6, y=y, class_="jar-name") if short else ""
