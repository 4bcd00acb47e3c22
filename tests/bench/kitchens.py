"""An invented kitchen, minute by minute: what the benchmarks feed to the station."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.config import PlaceSettings, Settings
from station.domain.jars import Jar
from station.domain.readings import Reading

SETTINGS = Settings(place=PlaceSettings(lat_deg=50.0, lon_deg=8.0, zone="Europe/Lisbon"))
DAY = 1440
"""Minutes."""


@dataclass(frozen=True, slots=True)
class Values:
    """What is measured in one minute, as a small sensor gives it."""

    temp_c: float
    rh_pct: float
    light_lx: float


def values(minute: int) -> Values:
    """Return the kitchen `minute` minutes after some midnight: the same whenever it is asked.

    It is warm in the afternoon, sometimes too cold or too warm for days, and has a patch of sun on two days in five.
    """
    hour, day = minute / 60.0 % 24.0, minute // DAY
    flicker = (minute * 7919 % 1009) / 1009.0 - 0.5
    spell_c = 3.5 * math.sin(minute / DAY / 9.3 * math.tau)
    daylight = max(math.sin((hour - 6.0) / 14.0 * math.pi), 0.0) if 6.0 < hour < 20.0 else 0.0
    sun_lx = 9000.0 if day % 5 < 2 and 15.2 < hour < 15.9 else 0.0
    return Values(
        round(20.0 + spell_c + 1.6 * math.sin((hour - 9.0) / 12.0 * math.pi) + 0.2 * flicker, 1),
        round(58.0 - 3.0 * spell_c + 6.0 * math.cos(hour / 12.0 * math.pi) + flicker, 1),
        round(380.0 * daylight + sun_lx + 4.0 * (flicker + 0.5), 1),
    )


def readings(start_at: datetime, minutes: range, step: int = 1) -> Iterator[Reading]:
    """Yield readings of the kitchen, `start_at` being its minute 0; each stands for `step` minutes."""
    for minute in minutes[::step]:
        now = values(minute)
        at, boot_s = start_at + timedelta(minutes=minute), 60.0 * (minute - minutes[0])
        yield Reading(at, "kitchen", boot_s, now.temp_c, now.rh_pct, now.light_lx, 12, span_s=60.0 * step)


def two_jars(packed_at: datetime) -> tuple[Jar, Jar]:
    """Return a litre of comfrey packed at `packed_at`, and a larger jar of borage packed a day later."""
    return (
        Jar("comfrey-1", "comfrey", packed_at, 1000.0),
        Jar("borage-1", "borage", packed_at + timedelta(days=1), 1500.0),
    )
