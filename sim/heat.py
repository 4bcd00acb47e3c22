"""How a room's temperatures move: the simple hourly method, five conductances and one mass."""

from dataclasses import dataclass
from typing import NamedTuple

_FILM_WM2K = 3.45
"""Between air and surfaces (ISO 13790, 7.2.2.2)."""
_MASS_WM2K = 9.1
"""Between surfaces and mass (ISO 13790, 12.2.2)."""


@dataclass(frozen=True, slots=True)
class Conductances:
    """How well heat passes, W/K: the five resistances of the method and the areas that share out the gains.

    Args:
        ventilation_wk: with the air that is exchanged.
        film_wk: between the air and the surfaces.
        window_wk: through the windows, to the outside.
        surface_wk: between the surfaces and the mass.
        mass_wk: between the mass and what lies beyond the walls.
        capacity_jk: heat that the mass holds, J/K.
        mass_share: effective mass area over the area of all surfaces.
        window_share: share of a gain that a window takes back at once.
    """

    ventilation_wk: float
    film_wk: float
    window_wk: float
    surface_wk: float
    mass_wk: float
    capacity_jk: float
    mass_share: float
    window_share: float


def conductances(
    *,
    ventilation_wk: float,
    window_wk: float,
    walls_wk: float,
    surfaces_m2: float,
    mass_area_m2: float,
    capacity_jk: float,
) -> Conductances:
    """Return the method's conductances from those of the parts (ISO 13790, 7.2.2 and 12.2.2)."""
    surface_wk = _MASS_WM2K * mass_area_m2
    return Conductances(
        ventilation_wk=ventilation_wk,
        film_wk=_FILM_WM2K * surfaces_m2,
        window_wk=window_wk,
        surface_wk=surface_wk,
        mass_wk=1.0 / (1.0 / walls_wk - 1.0 / surface_wk),
        capacity_jk=capacity_jk,
        mass_share=mass_area_m2 / surfaces_m2,
        window_share=window_wk / (_MASS_WM2K * surfaces_m2),
    )


class Heat(NamedTuple):
    """Where a step of the method ends, °C, and its means over the step."""

    mass_end_c: float
    mass_c: float
    surface_c: float
    air_c: float


class Drive(NamedTuple):
    """What drives a step: temperatures in °C outside, beyond the walls; gains in W inside, by the sun, by a heater."""

    outside_c: float
    beyond_c: float
    inside_w: float
    sun_w: float
    heater_w: float


def heat_step(of: Conductances, mass_start_c: float, drive: Drive, span_s: float) -> Heat:
    """Return where a room's temperatures go in `span_s` seconds.

    Source: ISO 13790:2008, Annex C.2 and C.3, equations C.1 to C.11, with a step other than the hour put in for 3600 s.
    """
    outside_c, beyond_c, inside_w, sun_w, heater_w = drive
    gain_w = 0.5 * inside_w + sun_w
    to_mass_w = of.mass_share * gain_w
    to_surface_w = (1.0 - of.mass_share - of.window_share) * gain_w
    to_air_w = 0.5 * inside_w + heater_w
    h1 = 1.0 / (1.0 / of.ventilation_wk + 1.0 / of.film_wk)
    h2 = h1 + of.window_wk
    h3 = 1.0 / (1.0 / h2 + 1.0 / of.surface_wk)
    supply_c = to_air_w / of.ventilation_wk + outside_c
    on_mass_w = to_mass_w + of.mass_wk * beyond_c
    on_mass_w += h3 * (to_surface_w + of.window_wk * outside_c + h1 * supply_c) / h2
    holds_wk = of.capacity_jk / span_s
    half_wk = 0.5 * (h3 + of.mass_wk)
    mass_end_c = (mass_start_c * (holds_wk - half_wk) + on_mass_w) / (holds_wk + half_wk)
    mass_c = 0.5 * (mass_start_c + mass_end_c)
    surface_w = of.surface_wk * mass_c + to_surface_w + of.window_wk * outside_c + h1 * supply_c
    surface_c = surface_w / (of.surface_wk + of.window_wk + h1)
    air_w = of.film_wk * surface_c + of.ventilation_wk * outside_c + to_air_w
    return Heat(mass_end_c, mass_c, surface_c, air_w / (of.film_wk + of.ventilation_wk))
