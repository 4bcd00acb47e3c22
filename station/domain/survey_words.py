"""What a survey found, line by line, as pages and shell say it."""

from station.domain.conditions import Kind
from station.domain.sentences import TempUnit, share_text, temp_text
from station.domain.survey import Spot

_SHOWN = (Kind.COLD, Kind.HOT, Kind.SUN, Kind.BRIGHT, Kind.DAMP)


def spot_rows(spot: Spot, unit: TempUnit) -> tuple[tuple[str, str], ...]:
    """Return what was found of a spot as names and values; every spot has the same names in the same order."""
    return (
        ("measured", f"{spot.covered_h:,.0f} h"),
        ("coldest", _temp(spot.least_c, unit)),
        ("mean", _temp(spot.mean_c, unit)),
        ("warmest", _temp(spot.most_c, unit)),
        ("good range", _hours(spot.good_h, spot)),
        *((str(kind), _hours(spot.condition_h.get(kind, 0.0), spot)) for kind in _SHOWN),
        ("a jar gains", _gain(spot)),
    )


def _temp(temp_c: float | None, unit: TempUnit) -> str:
    return "–" if temp_c is None else temp_text(temp_c, unit)


def _hours(hours: float, spot: Spot) -> str:
    share = f" ({share_text(hours / spot.covered_h)})" if spot.covered_h else ""
    return f"{hours:,.1f} h{share}"


def _gain(spot: Spot) -> str:
    return "–" if spot.warm_days_a_day is None else f"{spot.warm_days_a_day:.2f} warm-days a day"
