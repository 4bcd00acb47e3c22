"""The limits that guidance puts on the shelf, each with its basis beside it."""

from dataclasses import dataclass

from station.domain.conditions import Bound, Kind, Limit

MINUTE_S = 60.0
HOUR_S = 3600.0

GOOD_LOW_C = 18.3
"""65 °F: NDSU Extension and natural-farming teaching texts, "65 to 70 °F"."""
GOOD_HIGH_C = 23.9
"""75 °F: above it a ferment may soften (NDSU Extension)."""
BRIGHT_WINDOW_S = 2 * HOUR_S


@dataclass(frozen=True, slots=True)
class Limits:
    """Where each condition is raised and where it clears.

    Args:
        cold_c, hot_c: temperatures in °C.
        sun_lx, bright_lx: illuminances in lx.
        damp_margin_pct: how far below the mould-critical humidity, in %RH, a shelf counts as damp.
        silent_s: seconds without a good sample.
    """

    cold_c: float = 15.6
    """60 °F: below it a ferment may not go (NDSU Extension)."""
    hot_c: float = 26.7
    """80 °F: extension guidance says to avoid more."""
    sun_lx: float = 7000.0
    """WMO sunshine, 120 W/m² direct, times 70 to 95 lm/W (Littlefair 1988), behind double glazing (0.81)."""
    bright_lx: float = 1000.0
    """"Dark": by a shaded window there are about 2,000 lx, away from it 300 (lighting tables)."""
    damp_margin_pct: float = 5.0
    """Mould-critical RH (Hukka & Viitanen 1999) less the sensor's error."""
    silent_s: float = 600.0
    """Ten minutes: longer than a flaky sensor's worst ordinary run of bad reads."""


def limit_for(kind: Kind, limits: Limits) -> Limit:
    """Return the complete rule for one condition: bounds, holds and dead band."""
    match kind:
        case Kind.COLD:
            return Limit(Bound.BELOW, limits.cold_c, 30 * MINUTE_S, limits.cold_c + 0.5, 30 * MINUTE_S)
        case Kind.HOT:
            return Limit(Bound.ABOVE, limits.hot_c, 30 * MINUTE_S, limits.hot_c - 0.5, 30 * MINUTE_S)
        case Kind.SUN:
            return Limit(Bound.AT_LEAST, limits.sun_lx, 5 * MINUTE_S, limits.sun_lx * 5 / 7, 15 * MINUTE_S)
        case Kind.BRIGHT:
            return Limit(Bound.ABOVE, limits.bright_lx, 0.0, limits.bright_lx * 0.8, 0.0)
        case Kind.DAMP:
            return Limit(Bound.AT_LEAST, -limits.damp_margin_pct, 3 * HOUR_S, -limits.damp_margin_pct - 3.0, HOUR_S)
        case Kind.SILENT:
            return Limit(Bound.AT_LEAST, 1.0, limits.silent_s, 0.5, 3 * MINUTE_S)


def all_limits(limits: Limits) -> tuple[tuple[Kind, Limit], ...]:
    """Return the rule of every condition, in the order in which they matter."""
    return tuple((kind, limit_for(kind, limits)) for kind in Kind)
