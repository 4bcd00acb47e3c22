"""The room about the shelf: walls, air and the damp in it, stepped with the weather and the household."""

import math
from dataclasses import dataclass
from typing import NamedTuple

from sim.bounds import KEYS, NotNegative, Positive, Temperature
from sim.heat import Conductances, Drive, conductances, heat_step
from sim.household import Doings
from sim.moisture import saturation_gm3
from sim.weather import Outside

AIR_HEAT_WH_M3K = 1200.0 / 3600.0
_MASS_AREA_SHARE = 2.5
_SURFACE_SHARE = 4.5
"""Effective mass area and inner surface per floor area (ISO 13790, table 12 and 7.2.2.2)."""
_AIR_LAG_S = 900.0
"""The method's air answers at once; air with cupboards, pans and curtains in it takes a quarter of an hour."""
_HEATER_BAND_C = 0.4
_WET_M_H = 8.0
"""What a wet surface fills with vapour, metres of air an hour (Lewis: 2.7 W/m²K over 1,200 J/m³K)."""
_WALLS_BUFFER = 3.0
"""Plaster, wood and cloth take up and give back water: the air acts as if there were this many times as much of it."""


@dataclass(frozen=True, slots=True)
class Room:
    """What a room is made of.

    Args:
        floor_m2, height_m: its size.
        walls_wk: heat that its outer walls or roof pass, W/K.
        walls_sun_c: how much warmer the sun makes them outside, °C at 1,000 W/m²; a dark roof about 35.
        ground_wk: heat that passes to the ground about it.
        house_wk, house_c: heat that passes to the rest of the house, and how warm that is.
        window_wm2k: heat that a square metre of its window passes.
        heavy_jm2k: heat that it holds per square metre of floor; light 110,000, heavy 260,000 (ISO 13790, table 12).
        air_per_h: how often its air is exchanged in an hour with everything shut.
        heat_to_c: temperature to which a heater holds it; None without heating.
        heater_w: what the heater gives.
        wet_m2: wet wall or floor, m², from which water evaporates.
    """

    __pydantic_config__ = KEYS
    floor_m2: Positive = 12.0
    height_m: Positive = 2.4
    walls_wk: Positive = 12.0
    walls_sun_c: NotNegative = 0.0
    ground_wk: NotNegative = 0.0
    house_wk: NotNegative = 0.0
    house_c: Temperature = 20.0
    window_wm2k: Positive = 1.6
    heavy_jm2k: Positive = 165000.0
    air_per_h: Positive = 0.5
    heat_to_c: Temperature | None = None
    heater_w: NotNegative = 1500.0
    wet_m2: NotNegative = 0.0

    @property
    def surfaces_m2(self) -> float:
        """All inner surface."""
        return _SURFACE_SHARE * self.floor_m2

    @property
    def volume_m3(self) -> float:
        """Of air."""
        return self.floor_m2 * self.height_m


class RoomAir(NamedTuple):
    """The air of the room: temperature, °C, and water in it, g/m³."""

    temp_c: float
    moisture_gm3: float


class LivedInRoom:
    """A room that lives through the weather step by step.

    Args:
        room: what it is made of.
        window_m2: glass in it.
        start_c: how warm it is at first; a day or two of steps forget it.
    """

    def __init__(self, room: Room, window_m2: float, start_c: float) -> None:
        self._room = room
        self._window_wk = room.window_wm2k * window_m2
        self._beyond_wk = room.walls_wk + room.ground_wk + room.house_wk
        self._by_airing: dict[float, Conductances] = {}
        self._mass_c = self._air_c = start_c
        self._moisture_gm3 = 0.5 * saturation_gm3(start_c)
        self._heating = False

    def step(self, outside: Outside, sky_wm2: float, sun_w: float, doings: Doings, span_s: float) -> RoomAir:
        """Let `span_s` seconds go by.

        Args:
            outside: the weather.
            sky_wm2: global irradiance on the roof and walls.
            sun_w: heat that comes in through the window.
            doings: what the household does.
            span_s: seconds, at most an hour.
        """
        air_per_h = self._room.air_per_h + doings.airing_per_h
        drive = Drive(outside.temp_c, self._beyond_c(outside, sky_wm2), doings.heat_w, sun_w, self._heater_w())
        heat = heat_step(self._conductances(air_per_h), self._mass_c, drive, span_s)
        self._mass_c = heat.mass_end_c
        self._air_c = heat.air_c + (self._air_c - heat.air_c) * math.exp(-span_s / _AIR_LAG_S)
        self._moisten(outside, doings, air_per_h, span_s)
        return RoomAir(self._air_c, self._moisture_gm3)

    def _conductances(self, air_per_h: float) -> Conductances:
        known = self._by_airing.get(air_per_h)
        if known is None:
            room = self._room
            known = self._by_airing[air_per_h] = conductances(
                ventilation_wk=AIR_HEAT_WH_M3K * room.volume_m3 * air_per_h,
                window_wk=self._window_wk,
                walls_wk=self._beyond_wk,
                surfaces_m2=room.surfaces_m2,
                mass_area_m2=_MASS_AREA_SHARE * room.floor_m2,
                capacity_jk=room.heavy_jm2k * room.floor_m2,
            )
        return known

    def _beyond_c(self, outside: Outside, sky_wm2: float) -> float:
        room = self._room
        weighted = room.walls_wk * (outside.temp_c + room.walls_sun_c * sky_wm2 / 1000.0)
        weighted += room.ground_wk * outside.ground_c + room.house_wk * room.house_c
        return weighted / self._beyond_wk

    def _heater_w(self) -> float:
        wanted_c = self._room.heat_to_c
        if wanted_c is None:
            return 0.0
        if abs(self._air_c - wanted_c) > _HEATER_BAND_C:
            self._heating = self._air_c < wanted_c
        return self._room.heater_w if self._heating else 0.0

    def _moisten(self, outside: Outside, doings: Doings, air_per_h: float, span_s: float) -> None:
        """Move the water in the air towards its balance, exactly for sources that hold still during the step."""
        full_gm3 = saturation_gm3(self._air_c)
        wet_per_h = self._room.wet_m2 * _WET_M_H / self._room.volume_m3
        given_gm3h = doings.moisture_gh / self._room.volume_m3 + wet_per_h * saturation_gm3(self._mass_c)
        leaves_per_h = air_per_h + wet_per_h
        balance_gm3 = (air_per_h * outside.moisture_gm3 + given_gm3h) / leaves_per_h
        kept = math.exp(-leaves_per_h * span_s / (3600.0 * _WALLS_BUFFER))
        self._moisture_gm3 = min(full_gm3, balance_gm3 + (self._moisture_gm3 - balance_gm3) * kept)
