"""A feeding as people and programs read it."""

from typing import Any

from station.cli.frame import App
from station.cli.words import measures_of, rounded
from station.domain.feeding import Fed


def fed_json(fed: Fed) -> dict[str, Any]:
    """Return a feeding for programs: volumes in mL, ratio in parts of water to one of juice."""
    return {
        "id": fed.feeding_id,
        "at": fed.at,
        "method": str(fed.method),
        "juice_ml": rounded(fed.juice_ml, 4),
        "water_ml": rounded(fed.water_ml),
        "ratio": rounded(fed.ratio),
        "to": fed.place or None,
        "bottle": fed.bottle_id or None,
        "round": fed.round_id or None,
        "until_at": fed.until_at,
        "note": fed.note or None,
    }


def fed_row(app: App, fed: Fed) -> tuple[str, ...]:
    """Return a feeding as a row."""
    from station.domain.dilution import Dilution, mixture_text
    from station.domain.moments import clock_text, moment_text

    time = moment_text(fed.at, app.zone) + (f" to {clock_text(fed.until_at, app.zone)}" if fed.until_at else "")
    what = mixture_text(Dilution(fed.juice_ml, fed.water_ml), measures_of(app))
    source = f"from {fed.bottle_id}" if fed.bottle_id else ""
    return fed.feeding_id, time, fed.method, fed.place, what, source, fed.note
