"""Spots as people and programs read them."""

from collections.abc import Iterable, Iterator
from datetime import datetime, tzinfo
from typing import Any

from station.domain.coming_sun import NO_PLACE, ComingSun, spells_text, window_text
from station.domain.figures import TempUnit
from station.domain.moments import day_text, moment_text
from station.domain.survey import Spot, spot_verdict
from station.domain.survey_words import spot_rows


def spot_json(name: str, spot: Spot) -> dict[str, Any]:
    """Return one spot for programs: hours, temperatures in °C, and the verdict."""
    return {
        "log": name,
        "covered_h": round(spot.covered_h, 2),
        "measured_h": round(spot.measured_h, 2),
        "light_h": round(spot.light_h, 2),
        "rh_h": round(spot.rh_h, 2),
        "good_h": round(spot.good_h, 2),
        "hours": {str(kind): round(hours, 2) for kind, hours in spot.condition_h.items()},
        "sunlit_h": round(spot.sunlit_h, 2),
        "warm_days_a_day": None if spot.warm_days_a_day is None else round(spot.warm_days_a_day, 3),
        "temp_c": {"min": spot.least_c, "mean": spot.mean_c, "max": spot.most_c},
        "verdict": spot_verdict(spot),
    }


def survey_text(spots: list[tuple[str, Spot]], unit: TempUnit) -> str:
    """Return spots side by side, one column each, and a verdict a line."""
    found = [spot_rows(spot, unit) for _, spot in spots]
    heads = [head for head, _ in found[0]]
    cells = [[text for _, text in column] for column in found]
    rows = [("", [name for name, _ in spots]), *zip(heads, map(list, zip(*cells, strict=True)), strict=True)]
    widths = [max(len(row[1][column]) for row in rows) for column in range(len(spots))]
    table = [
        "  ".join([f"{head:<12}", *(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))])
        for head, cells in rows
    ]
    return "\n".join([*table, "", *(f"{name}: {spot_verdict(spot)}" for name, spot in spots)])


def moves_text(moved_at: datetime | None, zone: tzinfo, *, from_files: bool) -> Iterator[str]:
    """Yield what is known of moves of the station: of log files that nothing is, and what to do about it.

    Args:
        moved_at: when the station was last moved, if its own log was surveyed; None if never.
        zone: of local times.
        from_files: whether log files were surveyed.
    """
    if from_files:
        yield (
            "A log file does not say when its station was moved: each is taken as one spot. "
            "Leave out what came before a move with: jarside export FILE --since TIME."
        )
    elif moved_at is not None:
        yield f"this shelf: only what was measured since the move of {moment_text(moved_at, zone)} counts."


def sun_text(found: Iterable[tuple[str, ComingSun | None]], zone: tzinfo) -> Iterator[str]:
    """Yield from where the sun reached each spot and when it comes on the day after its log, a line each."""
    for name, sun in found:
        if sun is None:
            yield NO_PLACE
            return
        if not sun.windows:
            yield f"{name}: no direct sun was seen on two days."
        yield from (f"{name}: direct sun {window_text(window, zone)}." for window in sun.windows)
        if sun.tomorrow:
            day = day_text(sun.tomorrow[0].began_at, zone)
            yield f"{name}: on {day} {spells_text(sun.tomorrow, zone)} if the sky is clear."
