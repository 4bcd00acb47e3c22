"""How fast the model world's ferment works: the cardinal temperature model, never the station's own straight line."""

MIN_C = 2.8
"""No work below; an assumption inside the genus' 1.3 to 4.3 °C (Salvadó et al. 2011)."""
OPTIMUM_C = 32.3
MAX_C = 45.4
"""Optimum and upper end of *S. cerevisiae* (Salvadó et al. 2011)."""
REFERENCE_C = 20.0


def share_of_optimum(temp_c: float) -> float:
    """Return the rate at a temperature as a share of the rate at the optimum, 0 to 1.

    Args:
        temp_c: temperature of the ferment, °C, any value; outside the cardinal temperatures nothing works.

    Source: Rosso, Lobry & Flandrois 1993, J. Theor. Biol. 162, the cardinal temperature model with inflection.
    """
    if not MIN_C < temp_c < MAX_C:
        return 0.0
    width_c = OPTIMUM_C - MIN_C
    bend = width_c * (temp_c - OPTIMUM_C) - (OPTIMUM_C - MAX_C) * (OPTIMUM_C + MIN_C - 2.0 * temp_c)
    return (temp_c - MAX_C) * (temp_c - MIN_C) ** 2 / (width_c * bend)


_REFERENCE_SHARE = share_of_optimum(REFERENCE_C)


def relative_rate(temp_c: float) -> float:
    """Return the rate at a temperature relative to 20 °C: days of 20 °C work done in a day."""
    return share_of_optimum(temp_c) / _REFERENCE_SHARE
