"""Corrections and the way to them, as people and programs read it."""

import re
from collections.abc import Sequence
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING, Any

from station.domain.correction_log import Held
from station.domain.correction_words import correction_text
from station.domain.corrections import Correction, due_again
from station.domain.quality import LIGHT_MOST_LX
from station.errors import JarsideError

if TYPE_CHECKING:
    from hardware.salt_watch import SaltWatch

BAG = """\
1. Put two spoons of {salt} in a small open dish and add water by drops until it is like wet sand, not a soup.
2. Put the dish and the sensor {name} in a clear bag that closes tightly. The salt must not touch the sensor.
3. Lead the wires out at a corner, press most of the air out, close the bag and tape the corner.
4. Leave it where the temperature changes little, out of the sun. Do not open it.
Lithium chloride and dust of magnesium chloride irritate: wear gloves and keep them away from children and food.
Watching it now; this takes some three to eight hours. Ctrl-C ends it, and nothing is kept.
"""


def watch_text(watch: "SaltWatch", elapsed_s: float) -> str:
    """Return how the bag is doing, in a line."""
    minutes = round(elapsed_s / 60.0)
    time = f"{minutes // 60} h {minutes % 60:02} min"
    if watch.rh_pct is None or watch.temp_c is None:
        return f"{time}: no good answer yet"
    drift = watch.drift_pct_per_h
    moves = "too early to tell how fast it moves" if drift is None else f"moving {drift:+.1f} %RH an hour"
    return f"{time}: {watch.rh_pct:.1f} %RH at {watch.temp_c:.1f} °C, {moves}"


def known_lx(text: str) -> tuple[float, str]:
    """Return the illuminance that a person named, in lx, and how it is known.

    Raises:
        JarsideError: it is neither a moment nor an amount in lx.
    """
    from hardware.calibrate import KNOWN_LX

    if text in KNOWN_LX:
        return KNOWN_LX[text], f"{text}, about {KNOWN_LX[text]:,.0f} lx"
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(lx|klx)", text.strip())
    if found is None:
        raise JarsideError(f"{text!r} is no light", f"Write it as 850lx or 1.2klx, or one of: {', '.join(KNOWN_LX)}.")
    lx = float(found[1]) * (1000.0 if found[2] == "klx" else 1.0)
    if lx > LIGHT_MOST_LX:
        raise JarsideError(f"{text!r} is brighter than the sun", f"Give at most {LIGHT_MOST_LX:,.0f} lx.")
    return lx, f"lux meter, {lx:,.0f} lx"


def correction_json(correction: Correction) -> dict[str, Any]:
    """Return a correction for programs; for light, gain and offset are those of the logarithms."""
    return {
        "sensor": correction.sensor,
        "quantity": str(correction.quantity),
        "gain": round(correction.gain, 6),
        "offset": round(correction.offset, 6),
        "residual": round(correction.residual, 4),
        "made_at": correction.made_at,
        "points": [
            {"raw": round(point.raw, 3), "true": round(point.true, 3), "basis": point.basis, "at": point.at}
            for point in correction.points
        ],
    }


def history_json(history: Sequence[Held], now: datetime) -> list[dict[str, Any]]:
    """Return every correction for programs, with when it held."""
    return [
        {
            "name": held.name,
            **correction_json(held.correction),
            "since_at": held.since_at,
            "until_at": held.until_at,
            "due_again": held.until_at is None and due_again(held.correction, now),
        }
        for held in history
    ]


def history_text(history: Sequence[Held], zone: tzinfo, now: datetime) -> str:
    """Return every correction for people, a line each."""
    if not history:
        return "No corrections yet. Make one: jarside calibrate humidity --salt sodium-chloride"
    return "\n".join(_held_text(held, zone, now) for held in history)


def _held_text(held: Held, zone: tzinfo, now: datetime) -> str:
    since = f"{held.since_at.astimezone(zone):%Y-%m-%d %H:%M}"
    if held.until_at is not None:
        until = f"{held.until_at.astimezone(zone):%Y-%m-%d %H:%M}"
        return f"{held.name}, {since} to {until}: {correction_text(held.correction)}"
    reminder = " Older than a year: do it again." if due_again(held.correction, now) else ""
    return f"{held.name}, since {since}: {correction_text(held.correction)}{reminder}"
