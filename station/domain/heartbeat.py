"""The station's sign of life: what `status`, the dashboard and `jarside status` show."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from station.domain.readings import Reading

STALE_AFTER = timedelta(minutes=3)
"""A station that has kept nothing for longer is said to be not writing; it keeps a reading every minute."""


@dataclass(frozen=True, slots=True)
class Heartbeat:
    """How the station was at one moment.

    Args:
        at: when this was taken down, aware UTC.
        version: of the program.
        uptime_s: since the program started, seconds.
        clock_trusted: whether the clock is known to be right.
        last_reading_at: the end of the last reading with a measured value, or None.
        free_bytes: free space where the shelf log lies, or None if that is not known.
    """

    at: datetime
    version: str
    uptime_s: float
    clock_trusted: bool
    last_reading_at: datetime | None = None
    free_bytes: int | None = None


def brought_forward(kept: Heartbeat, latest: Reading, measured_at: datetime | None) -> Heartbeat:
    """Return a heartbeat as of the latest reading: it is kept more seldom than readings are.

    Args:
        kept: as it was last kept.
        latest: the latest reading.
        measured_at: the end of the last reading with a measured value, or None.
    """
    since_s = max((latest.measured_at - kept.at).total_seconds(), 0.0)
    return replace(
        kept,
        at=max(kept.at, latest.measured_at),
        uptime_s=kept.uptime_s + since_s,
        clock_trusted=latest.trusted,
        last_reading_at=measured_at or kept.last_reading_at,
    )


def has_stopped(latest_at: datetime, now_at: datetime) -> bool:
    """Whether a station whose latest reading came at `latest_at` is not writing any more at `now_at`, both aware."""
    return now_at - latest_at > STALE_AFTER
