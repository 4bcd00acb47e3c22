"""What a photoresistor's resistance says of the light. Pure formulas."""

AT_10_LX_OHM = 15_000.0
GAMMA = 0.7
"""A common 5 mm cadmium-sulphide cell: 10 to 20 kΩ at 10 lx, and R falls with light to the power of 0.7 (common
practice). Parts of one bag differ by a factor of two, so until it is calibrated its lux are a rough guide."""

FULL_SUN_LX = 100_000.0
"""Direct sun at noon (illuminance tables). Where a cell's line says more, it is at least this: drawn on, the line would
say millions, which nobody takes for light."""

CHARGED = 0.54
"""An input pin turns high at about 1.37 V of 3.3 V (common practice): an RC is there after -ln(1 - 1.37/3.3) RC."""


def light_lx(resistance_ohm: float) -> float:
    """Illuminance of a nominal cell.

    Args:
        resistance_ohm: its resistance in Ω, above 0.

    Returns:
        Illuminance in lx: a straight line in logarithms, as data sheets draw it.
    """
    return float(10.0 * (AT_10_LX_OHM / resistance_ohm) ** (1.0 / GAMMA))


def resistance_ohm(light_lx: float) -> float:
    """Resistance of a nominal cell at `light_lx` (above 0), in Ω: the inverse of `light_lx`."""
    return float(AT_10_LX_OHM * (10.0 / light_lx) ** GAMMA)


def charging_ohm(charge_s: float, capacitor_uf: float) -> float:
    """Resistance that charges a capacitor of `capacitor_uf` µF up to a pin's threshold in `charge_s` seconds, in Ω."""
    return charge_s / (CHARGED * capacitor_uf * 1e-6)


def divider_ohm(share: float, resistor_ohm: float) -> float:
    """Resistance above a divider's fixed resistor, in Ω.

    Args:
        share: voltage over the fixed resistor, as a share of the supply, above 0 and below 1.
        resistor_ohm: the fixed resistor, to ground, in Ω.
    """
    return resistor_ohm * (1.0 - share) / share
