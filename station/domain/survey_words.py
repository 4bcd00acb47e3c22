"""What a survey found, line by line, as pages and shell say it."""

from station.domain.conditions import Kind
from station.domain.figures import TempUnit, share_text, span_text, temp_text
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.domain.survey import Spot

NOT_MEASURED = "not measured"
_SHOWN = (Kind.COLD, Kind.HOT, Kind.SUN, Kind.BRIGHT, Kind.DAMP)


def spot_rows(spot: Spot, unit: TempUnit) -> tuple[tuple[str, str], ...]:
    """Return what was found of a spot as names and values; every spot has the same names in the same order.

    "temperature known" leaves out the sun: what was measured in it is not the air's.
    """
    return (
        ("measured", f"{spot.covered_h:,.0f} h"),
        ("temperature known", _hours(spot.measured_h, spot.covered_h)),
        ("coldest", _temp(spot.least_c, unit)),
        ("mean", _temp(spot.mean_c, unit)),
        ("warmest", _temp(spot.most_c, unit)),
        ("good range", _good(spot, unit)),
        *((str(kind), _condition(kind, spot)) for kind in _SHOWN),
        ("a jar gains", _gain(spot)),
    )


def _temp(temp_c: float | None, unit: TempUnit) -> str:
    return "–" if temp_c is None else temp_text(temp_c, unit)


def _hours(hours: float, of_h: float) -> str:
    return f"{hours:,.1f} h ({share_text(hours / of_h)})" if of_h else NOT_MEASURED


def _good(spot: Spot, unit: TempUnit) -> str:
    """Return how long it was in the good range, of the hours whose temperature is known, and what that range is."""
    hours = _hours(spot.good_h, spot.measured_h)
    return hours if hours == NOT_MEASURED else f"{hours} at {span_text(GOOD_LOW_C, GOOD_HIGH_C, unit)}"


def _condition(kind: Kind, spot: Spot) -> str:
    return _hours(spot.condition_h.get(kind, 0.0), spot.covered_h) if spot.known_h(kind) else NOT_MEASURED


def _gain(spot: Spot) -> str:
    return "–" if spot.warm_days_a_day is None else f"{spot.warm_days_a_day:.2f} warm-days a day"
