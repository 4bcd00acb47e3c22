"""A bottle as people and programs read it."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from station.cli.frame import App
from station.cli.words import rounded, volume
from station.domain.bottle_gas import pressure_if_closed
from station.domain.bottling import Bottle, bottle_warnings, keep_until_at, loose_until_at
from station.domain.jars import Jar
from station.domain.moments import date_text
from station.domain.pressure import pressure_sentence
from station.domain.storage import Keeping


def bottle_json(bottle: Bottle, now_at: datetime, keeping: Keeping, jar: Jar | None = None) -> dict[str, Any]:
    """Return a bottle for programs: volumes in mL, pressure above the outside air in bar."""
    pressure = pressure_if_closed(bottle, jar)
    return {
        "id": bottle.id,
        "jar": bottle.jar_id or None,
        "plant": bottle.plant,
        "filled_at": bottle.filled_at,
        "volume_ml": rounded(bottle.volume_ml),
        "bottle_ml": rounded(bottle.bottle_ml),
        "left_ml": rounded(bottle.left_ml),
        "over_ml": rounded(bottle.over_ml),
        "in_store": bottle.in_store,
        "storage": str(bottle.storage),
        "keep_until": keep_until_at(bottle, keeping),
        "loose_until": loose_until_at(bottle),
        "lid_closed_at": bottle.lid_closed_at,
        "emptied_at": bottle.emptied_at,
        "pressure_if_closed": None
        if pressure is None
        else {"settled_bar": rounded(pressure.settled_bar), "most_bar": rounded(pressure.most_bar)},
        "warnings": list(bottle_warnings(bottle, now_at, keeping)),
        "note": bottle.note or None,
    }


def bottle_row(app: App, bottle: Bottle, now_at: datetime, keeping: Keeping) -> tuple[str, ...]:
    """Return a bottle as a row: name, plant, what is left, where it stands and until when it keeps."""
    warnings = " ".join(f"! {text}" for text in bottle_warnings(bottle, now_at, keeping))
    if not bottle.in_store:
        return bottle.id, bottle.plant, "empty", "", "", warnings
    return (
        bottle.id,
        bottle.plant,
        f"{volume(app, bottle.left_ml)} left",
        bottle.storage.words,
        f"keeps until {date_text(keep_until_at(bottle, keeping), app.zone)}",
        warnings,
    )


def bottle_page(app: App, bottle: Bottle, jar: Jar | None, now_at: datetime, keeping: Keeping) -> Iterator[str]:
    """Yield everything about a bottle, a fact a line."""
    yield f"{bottle.id}: {bottle.plant}" + (f", from {bottle.jar_id}" if bottle.jar_id else "")
    yield f"  filled    {date_text(bottle.filled_at, app.zone)}, {volume(app, bottle.volume_ml)}"
    yield f"  left      {volume(app, bottle.left_ml)}" + (" (emptied)" if bottle.emptied_at else "")
    yield f"  kept      {bottle.storage.words}, keeps until {date_text(keep_until_at(bottle, keeping), app.zone)}"
    if now_at < loose_until_at(bottle):
        yield f"  lid       loose until {date_text(loose_until_at(bottle), app.zone)}"
    if bottle.note:
        yield f"  note      {bottle.note}"
    pressure = pressure_if_closed(bottle, jar)
    if pressure is not None and bottle.in_store:
        yield f"  pressure  {pressure_sentence(pressure)}"
    for warning in bottle_warnings(bottle, now_at, keeping):
        yield f"  mind      {warning}"
