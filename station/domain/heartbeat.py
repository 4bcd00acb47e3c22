"""The station's sign of life: what `status`, the dashboard and `jarside status` show."""

from dataclasses import dataclass
from datetime import datetime


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
