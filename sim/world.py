"""The shelf and everything about it, stepped minute by minute as someone looks."""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sim.household import LivingHousehold
from sim.jar import JarState, WorkingJar
from sim.moisture import rh_pct
from sim.room import LivedInRoom, RoomAir
from sim.scenario import Scenario
from sim.sky import sky
from sim.sunpath import SunPath
from sim.weather import Outside, Weather
from sim.window import Daylight, Opening
from station.errors import JarsideError

STEP_S = 60.0
_RUN_IN_S = 4 * 86400.0
_RUN_IN_STEP_S = 900.0
"""The room forgets the guess it began with before the scenario starts."""
_SENSOR_SUN_C = 0.010
_SENSOR_LAG_S = 240.0
"""A small plastic part in the sun ends up about 6 °C too warm at 600 W/m², within minutes."""
_NEAR_GLASS_M = 0.4
_GLASS_CHILL = 0.15
"""Right at the glass the air is this share of the way towards the air outside."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """The shelf as it really is at one moment.

    Args:
        at: the true time, aware UTC.
        temp_c, rh_pct, moisture_gm3: of the air about the jars.
        light_lx: daylight, sun and lamp together.
        direct_sun: whether the sun falls on the shelf.
        beam_wm2: direct sun on it.
        sensor_c, sensor_rh_pct: what a sensor there feels: in the sun it is too warm, and the air in it too dry.
        outside: the weather.
        jars: every jar of the scenario, packed or not.
    """

    at: datetime
    temp_c: float
    rh_pct: float
    moisture_gm3: float
    light_lx: float
    direct_sun: bool
    beam_wm2: float
    sensor_c: float
    sensor_rh_pct: float
    outside: Outside
    jars: tuple[JarState, ...]

    def jar(self, name: str) -> JarState:
        """Return one jar by its name.

        Raises:
            JarsideError: there is no such jar.
        """
        for jar in self.jars:
            if jar.name == name:
                return jar
        raise JarsideError(f"no jar {name!r} on the shelf", "Name one of the scenario's jars.")


class World:
    """A scenario that goes on as it is looked at. Time runs forward only."""

    def __init__(self, scenario: Scenario) -> None:
        place = scenario.place
        self._scenario = scenario
        self._zone = ZoneInfo(place.zone)
        self._sun = SunPath(place.almanac, scenario.start_at)
        self._weather = Weather(scenario.climate, place.lat_deg, place.lon_deg, scenario.start_at, scenario.seed)
        self._opening = Opening(scenario.window, scenario.room.surfaces_m2)
        self._room = LivedInRoom(scenario.room, scenario.window.area_m2, scenario.climate.mean_c + 5.0)
        self._household = LivingHousehold(scenario.household, scenario.seed)
        self._jars = tuple(WorkingJar(jar, scenario.seed) for jar in scenario.jars)
        self._by_glass = _GLASS_CHILL * math.exp(-scenario.window.distance_m / _NEAR_GLASS_M)
        self._sensor_sun_c = 0.0
        self._elapsed_s = -_RUN_IN_S
        while self._elapsed_s < 0.0:
            self._shelf = self._step(_RUN_IN_STEP_S)

    def at(self, elapsed_s: float) -> Shelf:
        """Return the shelf as it is `elapsed_s` seconds after the start, in steps of a minute.

        Raises:
            JarsideError: that minute is over.
        """
        while self._elapsed_s + STEP_S <= elapsed_s:
            self._shelf = self._step(STEP_S)
        if elapsed_s < self._elapsed_s:
            raise JarsideError(
                f"the model world cannot go back from second {self._elapsed_s:g} to {elapsed_s:g}",
                "Make a new world to begin again.",
            )
        return self._shelf

    def _step(self, span_s: float) -> Shelf:
        self._elapsed_s = now_s = self._elapsed_s + span_s
        at = self._scenario.start_at + timedelta(seconds=now_s)
        local = at.astimezone(self._zone)
        hour = local.hour + local.minute / 60.0
        outside = self._weather.step(now_s, span_s)
        sun = self._sun.at(now_s)
        above = sky(sun.elevation_deg, outside.cover, sun_covered=outside.sun_covered)
        day = self._opening.daylight(above, sun, hour)
        doings = self._household.at(local.toordinal(), hour, day.shelf_lx)
        air = self._room.step(outside, above.global_wm2, day.heat_w, doings, span_s)
        return self._shelf_of(at, span_s, outside, day, air, day.shelf_lx + doings.lamp_lx)

    def _shelf_of(
        self, at: datetime, span_s: float, outside: Outside, day: Daylight, air: RoomAir, light_lx: float
    ) -> Shelf:
        temp_c = air.temp_c + self._by_glass * (outside.temp_c - air.temp_c)
        lit_c = _SENSOR_SUN_C * day.beam_wm2
        self._sensor_sun_c = lit_c + (self._sensor_sun_c - lit_c) * math.exp(-span_s / _SENSOR_LAG_S)
        sensor_c = temp_c + self._sensor_sun_c
        return Shelf(
            at,
            temp_c,
            rh_pct(air.moisture_gm3, temp_c),
            air.moisture_gm3,
            light_lx,
            day.beam_wm2 > 0.0,
            day.beam_wm2,
            sensor_c,
            rh_pct(air.moisture_gm3, sensor_c),
            outside,
            tuple(jar.step(self._elapsed_s, span_s, temp_c, day.beam_wm2) for jar in self._jars),
        )
