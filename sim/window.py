"""The window beside the shelf: which sun comes through it, and how much light it gives the shelf."""

import math
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from sim.bounds import KEYS, Hour, Number, Positive, Share
from sim.sky import Sky
from station.domain.sun import SunPosition

_GROUND_REFLECTS = 0.2
_WALLS_REFLECT = 0.5
_SENSOR_TILT = math.radians(45.0)
"""The light sensor's dome leans half way towards the window, as a part does that someone pointed at the light."""


@dataclass(frozen=True, slots=True)
class Window:
    """A window and where the shelf stands behind it.

    Args:
        azimuth_deg: which way it looks, degrees from north by east.
        width_m, height_m: of the glass.
        sill_m: how far the glass begins above the shelf; below 0 it begins under it.
        distance_m: from the glass to the jars.
        offset_m: how far the window's middle lies to the right of the jars, looking out.
        transmittance: share of the light that comes through the glass head-on; double glazing about 0.8.
        skyline_deg: what stands outside hides the sky up to this elevation.
        shade: share of the light from the sky that a cupboard or plants keep from the shelf.
        blind_h: local hours from and until which a blind is drawn; may run over midnight. Equal: no blind.
        blind_passes: share of the light that comes through it.
    """

    __pydantic_config__ = KEYS
    azimuth_deg: Annotated[float, Field(strict=True, ge=0.0, le=360.0)] = 180.0
    width_m: Positive = 1.2
    height_m: Positive = 1.1
    sill_m: Number = 0.1
    distance_m: Positive = 2.0
    offset_m: Number = 0.0
    transmittance: Share = 0.8
    skyline_deg: Annotated[float, Field(strict=True, ge=0.0, lt=90.0)] = 5.0
    shade: Share = 0.0
    blind_h: tuple[Hour, Hour] = (0.0, 0.0)
    blind_passes: Share = 0.1

    @property
    def area_m2(self) -> float:
        """Of the glass."""
        return self.width_m * self.height_m


@dataclass(frozen=True, slots=True)
class Daylight:
    """What the window lets in just now.

    Args:
        shelf_lx: daylight on the shelf's light sensor.
        beam_wm2: direct sun on the shelf, on a surface that faces it; 0 when none falls there.
        heat_w: heat of the sun and sky that comes into the room.
    """

    shelf_lx: float
    beam_wm2: float
    heat_w: float


def in_front_deg(window: Window, sun: SunPosition) -> float:
    """Return how far the sun stands to the right of straight out, −180 to 180°, looking out of the window."""
    return (sun.azimuth_deg - window.azimuth_deg + 180.0) % 360.0 - 180.0


def incidence(window: Window, sun: SunPosition) -> float:
    """Return the cosine of the angle between the sun and straight out; 0 when it is behind or below the skyline."""
    if sun.elevation_deg <= window.skyline_deg:
        return 0.0
    across = math.cos(math.radians(in_front_deg(window, sun)))
    return max(0.0, math.cos(math.radians(sun.elevation_deg)) * across)


def reaches_shelf(window: Window, sun: SunPosition) -> bool:
    """Whether a line from the jars to the sun goes through the glass."""
    if incidence(window, sun) <= 0.001:
        return False
    aside = math.radians(in_front_deg(window, sun))
    sideways_m = window.distance_m * math.tan(aside)
    up_m = window.distance_m * math.tan(math.radians(sun.elevation_deg)) / math.cos(aside)
    beside = abs(sideways_m - window.offset_m) <= 0.5 * window.width_m
    return beside and window.sill_m <= up_m <= window.sill_m + window.height_m


def view_share(window: Window) -> float:
    """Return the share of the half-space before an upright surface at the jars that the glass fills, 0 to 1.

    Source: configuration factor of a rectangle from a parallel small surface (Howell's catalogue, B-4).
    """
    sides = (window.offset_m - 0.5 * window.width_m, window.offset_m + 0.5 * window.width_m)
    edges = (window.sill_m, window.sill_m + window.height_m)
    a, b = ([value / window.distance_m for value in pair] for pair in (sides, edges))
    return _corner(a[1], b[1]) - _corner(a[0], b[1]) - _corner(a[1], b[0]) + _corner(a[0], b[0])


def _corner(a: float, b: float) -> float:
    across, up = math.sqrt(1.0 + a * a), math.sqrt(1.0 + b * b)
    return (a / across * math.atan(b / across) + b / up * math.atan(a / up)) / (2.0 * math.pi)


class Opening:
    """A window with what does not change about it worked out.

    Args:
        window: the window.
        walls_m2: the room's inner surface, which throws the light about.
    """

    def __init__(self, window: Window, walls_m2: float) -> None:
        self._window = window
        self._from_sky = view_share(window) * (1.0 - window.shade)
        self._from_walls = window.area_m2 * _WALLS_REFLECT / (walls_m2 * (1.0 - _WALLS_REFLECT))
        self._open_sky = 0.5 * (1.0 - math.sin(math.radians(window.skyline_deg)))

    def daylight(self, sky: Sky, sun: SunPosition, hour: float) -> Daylight:
        """Return what comes in at a local hour, 0 to 24."""
        if sky.global_lx <= 0.0:
            return Daylight(0.0, 0.0, 0.0)
        window = self._window
        passes = window.transmittance * (window.blind_passes if self._blind_drawn(hour) else 1.0)
        facing = incidence(window, sun)
        passes_beam = passes * (1.0 - (1.0 - facing) ** 5)
        sky_lx = passes * (self._open_sky * sky.diffuse_lx + 0.5 * _GROUND_REFLECTS * sky.global_lx)
        sky_wm2 = passes * (self._open_sky * sky.diffuse_wm2 + 0.5 * _GROUND_REFLECTS * sky.global_wm2)
        in_lx = sky_lx + passes_beam * facing * sky.beam_lx
        in_wm2 = sky_wm2 + passes_beam * facing * sky.beam_wm2
        shelf_lx = self._from_sky * sky_lx + self._from_walls * in_lx
        if sky.beam_wm2 <= 0.0 or not reaches_shelf(window, sun):
            return Daylight(shelf_lx, 0.0, in_wm2 * window.area_m2)
        on_sensor = facing * math.cos(_SENSOR_TILT) + math.sin(math.radians(sun.elevation_deg)) * math.sin(_SENSOR_TILT)
        return Daylight(
            shelf_lx + passes_beam * sky.beam_lx * on_sensor, passes_beam * sky.beam_wm2, in_wm2 * window.area_m2
        )

    def _blind_drawn(self, hour: float) -> bool:
        since, until = self._window.blind_h
        if since <= until:
            return since <= hour < until
        return hour >= since or hour < until
