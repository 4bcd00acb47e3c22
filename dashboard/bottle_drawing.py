"""A bottle as inline SVG: its juice as high as there is left of it, and its stopper as loose as it ought to be.

What all bottles share is drawn in templates/shapes.svg, which a page holds once; colours are in the stylesheet.
"""

import enum
from dataclasses import dataclass
from functools import lru_cache

from dashboard.svg import element, number, paper_tag

FLOOR, SHOULDER, NECK = 199.0, 122.0, 80.0
"""Where the juice stands in the picture's units: with nothing in it, at the end of the body, and at the brim."""
BODY_SHARE = 0.82
"""Of what the bottle holds, this much is below its shoulder."""
SMALL_ML, LARGE_ML = 300.0, 800.0
USUAL_FILL = 2.0 / 3.0
"""How full a bottle is taken to be whose size was not written down: a third should stay empty."""


class Lid(enum.StrEnum):
    """How the stopper sits."""

    LOOSE = "loose"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class BottlePicture:
    """What is drawn of a bottle.

    Args:
        level: what is left of what the bottle holds to the brim, 0 to 1.
        filled: how full it was when it was filled, 0 to 1: a line on the glass.
        lid: how its stopper sits.
        scale: how large it is drawn, 0 to 1.
        past: whether it is past its keeping time.
        tag: a few letters on the tag at its neck.
    """

    level: float
    filled: float
    lid: Lid = Lid.LOOSE
    scale: float = 1.0
    past: bool = False
    tag: str = ""


def scale_of(bottle_ml: float | None) -> float:
    """Return how large a bottle of that size, mL, is drawn beside others."""
    if bottle_ml is None:
        return 0.92
    return 0.84 if bottle_ml < SMALL_ML else 1.0 if bottle_ml >= LARGE_ML else 0.92


@lru_cache(maxsize=256)
def bottle_svg(picture: BottlePicture) -> str:
    """Return the bottle; hidden from screen readers, because the words beside it say it all."""
    scale = f"translate(80 203) scale({picture.scale:.2f}) translate(-80 -203)"
    inside = element("g", _shared("inner-bottle", class_="air"), *_juice(picture), clip_path="url(#inside-bottle)")
    drawn = (inside, _stopper(picture.lid), _shared("bottle-glass"), _fill_line(picture.filled), _tag(picture.tag))
    bottle = element("g", *drawn, transform=scale)
    return element("svg", _shared("shade"), bottle, class_="jar-picture", viewBox="0 0 160 208", aria_hidden="true")


def height(level: float) -> float:
    """Return where the juice stands for a level of 0 to 1; the neck holds little, so that it rises fast there."""
    share = min(max(level, 0.0), 1.0)
    if share <= BODY_SHARE:
        return FLOOR - (FLOOR - SHOULDER) * share / BODY_SHARE
    return SHOULDER - (SHOULDER - NECK) * (share - BODY_SHARE) / (1.0 - BODY_SHARE)


def _shared(name: str, **attributes: str | float | None) -> str:
    return element("use", href=f"#{name}", **attributes)


def _juice(picture: BottlePicture) -> list[str]:
    if picture.level <= 0.0:
        return []
    top = height(picture.level)
    y, low, high = number(top), number(top + 1.2), number(top - 1.0)
    wave = f"M50 {y}C60 {low} 70 {y} 80 {y}S102 {high} 112 {y}"
    look = "past" if picture.past else "old"
    return [
        element("path", d=f"{wave}V204H50Z", class_=f"juice {look}"),
        element("path", d=wave, class_="surface"),
    ]


def _stopper(lid: Lid) -> str:
    """A loose stopper sits askew, so that it is seen from across the kitchen that gas can get out."""
    seat = "translate(0 4)" if lid is Lid.CLOSED else "translate(2 -7) rotate(13 80 60)"
    return _shared("stopper", transform=seat)


def _fill_line(filled: float) -> str:
    y = number(height(filled))
    return element("path", d=f"M84 {y}H105", class_="fill-line")


def _tag(tag: str) -> str:
    return paper_tag(tag, 112, 82, "M92 72C100 72 106 76 110 84", "rotate(4 112 84)")
