"""Moist air: what follows from a temperature and a relative humidity."""

from math import exp, log

from station.errors import JarsideError

MAGNUS_PA = 610.94
MAGNUS_SLOPE = 17.625
MAGNUS_C = 243.04
"""Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601, their form for vapour over liquid water."""

VAPOUR_J_KG_K = 461.524
"""Specific gas constant of water vapour (ASHRAE Handbook, Fundamentals 2017, chapter 1: 287.042 / 0.621945)."""

ZERO_C_K = 273.15

TEMP_LOW_C = -40.0
TEMP_HIGH_C = 80.0
"""The range of the AM2302 temperature and humidity sensor (its data sheet), and of these formulas."""

RH_MOST_PCT = 105.0
"""The highest humidity taken for saturated air. Sensors are a few %RH off (the AM2302's data sheet: ±2, at most ±5), so
100 to 105 counts as 100. More is no measurement of air."""

MOULD_LEAST_PCT = 80.0
"""No mould grows on wood below this, however warm it is (Hukka & Viitanen 1999)."""


def saturation_pressure_pa(temp_c: float) -> float:
    """Vapour pressure of air that can hold no more water, over liquid water (below 0 °C too).

    Args:
        temp_c: air temperature in °C, -40 to 80.

    Returns:
        Pressure in Pa; 0.16 to 0.24 % low at 10 to 30 °C.

    Raises:
        JarsideError: the temperature is outside that range or not a number.

    Source: Magnus formula with the constants of Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601.
    """
    _check_temp(temp_c)
    return MAGNUS_PA * exp(MAGNUS_SLOPE * temp_c / (MAGNUS_C + temp_c))


def dew_point_c(temp_c: float, rh_pct: float) -> float | None:
    """Temperature to which air must cool before its water settles as dew (over liquid water, also below 0 °C).

    Args:
        temp_c: air temperature in °C, -40 to 80.
        rh_pct: relative humidity in %, 0 to 100; up to 105 is taken as 100.

    Returns:
        Dew point in °C, never above `temp_c`; None for air without water (0 %), which has none.

    Raises:
        JarsideError: a value is outside its range or not a number.

    Source: the Magnus formula of `saturation_pressure_pa`, solved for the temperature.
    """
    _check_temp(temp_c)
    share = _share(rh_pct)
    if share == 0:
        return None
    gamma = log(share) + MAGNUS_SLOPE * temp_c / (MAGNUS_C + temp_c)
    return min(temp_c, MAGNUS_C * gamma / (MAGNUS_SLOPE - gamma))


def absolute_humidity_g_m3(temp_c: float, rh_pct: float) -> float:
    """Mass of water in a cubic metre of air.

    Args:
        temp_c: air temperature in °C, -40 to 80.
        rh_pct: relative humidity in %, 0 to 100; up to 105 is taken as 100.

    Returns:
        Water in g/m³; 0 for dry air.

    Raises:
        JarsideError: a value is outside its range or not a number.

    Source: the ideal gas law for the vapour alone (ASHRAE Handbook, Fundamentals 2017, chapter 1).
    """
    vapour_pa = _share(rh_pct) * saturation_pressure_pa(temp_c)
    return 1000.0 * vapour_pa / (VAPOUR_J_KG_K * (temp_c + ZERO_C_K))


def mould_critical_rh_pct(temp_c: float) -> float:
    """Relative humidity from which mould can grow on wood, given time.

    Args:
        temp_c: air temperature in °C, -40 to 80; the source covers 0 to 50.

    Returns:
        Critical humidity in %RH, 80 from 15 °C up. Below 0 °C it is above 100: no humidity is enough.

    Raises:
        JarsideError: the temperature is outside its range or not a number.

    Source: Hukka & Viitanen 1999, Wood Sci. Technol. 33, 475. Their cubic dips to 79.9 at 17 °C, below the 80 that
    holds above 20 °C, so the larger of the two is taken.
    """
    _check_temp(temp_c)
    if temp_c > 20.0:
        return MOULD_LEAST_PCT
    cubic_pct = ((-0.00267 * temp_c + 0.160) * temp_c - 3.13) * temp_c + 100.0
    return max(cubic_pct, MOULD_LEAST_PCT)


def fahrenheit(temp_c: float) -> float:
    """The same temperature in °F, by definition of the scale."""
    return temp_c * 1.8 + 32.0


def celsius(temp_f: float) -> float:
    """The same temperature in °C, by definition of the scale."""
    return (temp_f - 32.0) / 1.8


def _check_temp(temp_c: float) -> None:
    # Written so that nan fails too.
    if not TEMP_LOW_C <= temp_c <= TEMP_HIGH_C:
        raise JarsideError(f"air temperature {temp_c} °C", f"Give one from {TEMP_LOW_C:g} to {TEMP_HIGH_C:g} °C.")


def _share(rh_pct: float) -> float:
    """How full of water the air is, 0 to 1."""
    if not 0.0 <= rh_pct <= RH_MOST_PCT:
        raise JarsideError(f"relative humidity {rh_pct} %", "Give one from 0 to 100 %.")
    return min(rh_pct, 100.0) / 100.0
