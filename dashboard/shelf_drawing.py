"""What stands around the jars as inline SVG: the kitchen window, the sun that falls in, the station, an empty place."""

import enum
import math
from functools import lru_cache

from dashboard.svg import element, number


class Daylight(enum.StrEnum):
    """What the light outside is like."""

    NIGHT = "night"
    DAWN = "dawn"
    DAY = "day"
    DUSK = "dusk"


TWILIGHT_DEG = -6.0
"""Below this elevation of the sun it is night (end of civil twilight)."""
LOW_SUN_DEG = 5.0
"""Below this elevation the light is the warm one of dawn and dusk."""


def daylight_at(elevation_deg: float, azimuth_deg: float) -> Daylight:
    """Return what the light is like from where the sun stands; before noon it is in the eastern half."""
    if elevation_deg < TWILIGHT_DEG:
        return Daylight.NIGHT
    if elevation_deg < LOW_SUN_DEG:
        return Daylight.DAWN if azimuth_deg < 180.0 else Daylight.DUSK
    return Daylight.DAY


def daylight_by_clock(hour: float) -> Daylight:
    """Return what the light is likely to be like at a local hour, 0 to 24, where the place is not known."""
    if 6.0 <= hour < 8.0:
        return Daylight.DAWN
    if 8.0 <= hour < 18.0:
        return Daylight.DAY
    return Daylight.DUSK if 18.0 <= hour < 20.0 else Daylight.NIGHT


@lru_cache(maxsize=64)
def window_svg(daylight: Daylight, part: float) -> str:
    """Return the kitchen window with the sky of the hour.

    Args:
        daylight: what the light is like.
        part: how much of the day has passed, 0 at dawn to 1 at dusk; of the night when it is night.
    """
    angle = math.pi * min(max(part, 0.0), 1.0)
    x, y = 60.0 - 40.0 * math.cos(angle), 92.0 - 62.0 * math.sin(angle)
    lights = _stars(x, y) if daylight is Daylight.NIGHT else [element("circle", cx=x, cy=y, r=10, class_="sun")]
    return element(
        "svg",
        element("rect", x=8, y=8, width=104, height=104, class_="sky"),
        *lights,
        element("path", d="M8 112V92C24 84 40 90 56 86S92 78 112 88V112Z", class_="hill"),
        element("path", d="M8 112V101C30 94 52 101 74 97S100 98 112 99V112Z", class_="hill near"),
        element("path", d="M8 8H112V112H8ZM60 8V112M8 58H112", class_="frame"),
        element("path", d="M1 116H119V123H1Z", class_="sill"),
        *_pot(),
        class_=f"window {daylight}",
        viewBox="0 0 120 126",
        aria_hidden="true",
    )


def _stars(x: float, y: float) -> list[str]:
    spots = ((22, 24), (40, 44), (78, 22), (96, 40), (50, 20), (30, 68), (88, 66))
    stars = [element("circle", cx=sx, cy=sy, r=1.1, class_="star") for sx, sy in spots]
    moon = f"M{number(x)} {number(y - 9)}a9 9 0 1 0 8 13a7 7 0 0 1 -8 -13z"
    return [*stars, element("path", d=moon, class_="moon")]


def _pot() -> list[str]:
    """Return the seedling on the sill: what the juice is for."""
    leaves = "M38 92C32 92 29 88 29 84C35 84 38 87 38 92ZM38 89C43 89 47 85 47 81C41 81 38 84 38 89Z"
    return [
        element("path", d="M30 102H46L44 116H32Z", class_="pot"),
        element("path", d=f"M38 102C38 94 37 90 38 86{leaves}", class_="sprout"),
    ]


BEAM = element(
    "svg",
    *[element("path", d=shape, class_="ray") for shape in ("M74 0L92 0L58 100L26 100Z", "M95 0L110 0L96 100L64 100Z")],
    class_="beam",
    viewBox="0 0 100 100",
    preserveAspectRatio="none",
    aria_hidden="true",
)
"""The sun that falls across the shelf, through two panes."""


@lru_cache(maxsize=8)
def station_svg(level: str) -> str:
    """Return the station itself, a small box with a lamp.

    Args:
        level: `good`, `watch` or `act`, the colour of its lamp; "off" when it does not write.
    """
    lamp = element("circle", cx=106, cy=163, r=8, class_=f"lamp {level}")
    shared = element("use", href="#shade") + element("use", href="#box")
    return element("svg", shared, lamp, class_="jar-picture", viewBox="0 0 160 208", aria_hidden="true")


EMPTY_PLACE = element(
    "svg",
    element("use", href="#inner", class_="empty-place"),
    class_="jar-picture",
    viewBox="0 0 160 208",
    aria_hidden="true",
)
"""Where a jar could stand."""
