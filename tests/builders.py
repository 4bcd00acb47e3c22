"""Small builders with which tests set up their world."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from station.domain.readings import Reading

START = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
"""When most tests begin: a Monday morning in May."""


def a_reading(minute: float = 0, temp_c: float | None = 20.0, **changes: Any) -> Reading:
    """A good reading `minute` minutes after START."""
    reading = Reading(
        measured_at=START + timedelta(minutes=minute),
        boot_id="boot",
        boot_s=60.0 * minute,
        temp_c=temp_c,
        rh_pct=55.0,
        light_lx=120.0,
        good=12,
    )
    return replace(reading, **changes)
