"""Sugar in the juice: how much of it is sugar, and how dense that makes it."""

from station.domain.blends import plants_in
from station.domain.jars import Jar
from station.domain.plants import WATER_SHARE_OF, Moisture

WATER_G_PER_ML = 0.998203
"""Water at 20 °C (CRC Handbook)."""


def sucrose_density_g_ml(sugar_share: float) -> float:
    """Return the density of a sucrose solution at 20 °C, g/mL.

    Water and sugar each bring their own volume; a gram of sucrose takes 0.615 mL in thin solution and 0.625 mL in
    one that is half sugar.

    Args:
        sugar_share: sugar by weight, 0 to 0.65 (saturation lies at 0.67).

    Source: apparent specific volume fitted to the sucrose table of the CRC Handbook; within 0.05 % of it.
    """
    sugar_ml_per_g = 0.6150 + 0.0195 * sugar_share
    return 1.0 / (sugar_share * sugar_ml_per_g + (1.0 - sugar_share) / WATER_G_PER_ML)


SATURATED_SHARE = 0.67
"""Sugar by weight in a saturated solution at 20 °C (CRC Handbook)."""


def juice_sugar_share(plant_g: float, sugar_g: float, moisture: Moisture = Moisture.MEDIUM) -> float:
    """Return the share of sugar by weight in the juice before any ferments, when all of the plant's water comes out.

    Args:
        plant_g, sugar_g: weights in grams; the plant's above 0.
        moisture: how much water the plant holds.
    """
    water_g = plant_g * WATER_SHARE_OF[moisture]
    return min(sugar_g / (sugar_g + water_g), SATURATED_SHARE)


def juice_ml(plant_g: float, sugar_g: float, sugar_share: float) -> float:
    """Return the volume that `sugar_g` of sugar makes at `sugar_share` by weight; 0 without sugar."""
    if sugar_share <= 0.0 or plant_g <= 0.0:
        return 0.0
    return sugar_g / sugar_share / sucrose_density_g_ml(sugar_share)


def sugar_in_g(volume_ml: float, sugar_share: float) -> float:
    """Return grams of sugar in `volume_ml` of juice that holds `sugar_share` by weight."""
    return volume_ml * sucrose_density_g_ml(sugar_share) * sugar_share


def jar_sugar_share(jar: Jar) -> float | None:
    """Return the share of sugar by weight in a jar's juice before any ferments, or None when it was not weighed."""
    if not jar.plant_g or not jar.sugar_g:
        return None
    plants = plants_in(jar.plant)
    return juice_sugar_share(jar.plant_g, jar.sugar_g, plants[0].moisture if plants else Moisture.MEDIUM)
