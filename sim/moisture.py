"""The water in the model world's air. Another formula than the station's, so that neither is judged by itself."""

import math


def vapour_pressure_pa(dew_point_c: float) -> float:
    """Return the pressure of water vapour at its dew point, Pa.

    Args:
        dew_point_c: dew point over water, °C, −40 to 80; the air's temperature gives the saturation pressure.

    Source: Hyland & Wexler 1983 as in the ASHRAE Handbook, Fundamentals 2017, chapter 1, equation 6.
    """
    t = dew_point_c + 273.15
    powers = -5.8002206e3 / t + 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 - 1.4452093e-8 * t))
    return math.exp(powers + 6.5459673 * math.log(t))


def moisture_gm3(dew_point_c: float, temp_c: float) -> float:
    """Return the water in a cubic metre of air, g, from dew point and temperature in °C (ideal gas)."""
    return 2.16679 * vapour_pressure_pa(dew_point_c) / (temp_c + 273.15)


def saturation_gm3(temp_c: float) -> float:
    """Return the most water that a cubic metre of air can hold, g, at a temperature in °C."""
    return moisture_gm3(temp_c, temp_c)


def rh_pct(water_gm3: float, temp_c: float) -> float:
    """Return relative humidity, 0 to 100 %, from the water in the air, g/m³, and the temperature, °C."""
    return min(100.0, 100.0 * water_gm3 / saturation_gm3(temp_c))
