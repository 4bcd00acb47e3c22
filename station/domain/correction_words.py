"""Corrections of sensors in words, as pages and shell say them."""

import math

from station.domain.corrections import Correction, Quantity


def correction_text(correction: Correction) -> str:
    """Return a correction in a line."""
    points = "; ".join(f"{point.basis}: said {point.raw:.4g}, is {point.true:.4g}" for point in correction.points)
    if correction.quantity is Quantity.HUMIDITY:
        does = f"{correction.gain:.3f} × reading {correction.offset:+.1f} %RH"
        residual = f"{correction.residual:.1f} %RH"
    else:
        does = f"lx = {math.exp(correction.offset):.3g} × reading^{correction.gain:.2f}"
        residual = f"{100 * correction.residual:.0f} %"
    return f"{correction.sensor} {correction.quantity}: {does} ({points}; residual {residual})"
