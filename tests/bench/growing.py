"""A log that goes on: the present moves on by a minute, and the log has one more."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from station.ports import Minute
from station.store.shelf_log import ShelfLog
from tests.bench.kitchens import DAY, readings


class Growing:
    """The present of a shelf log, and who writes it; the log stays open, as the station has it.

    Args:
        path: the log.
        now_at: when it ends.
    """

    def __init__(self, path: Path, now_at: datetime) -> None:
        self._start_at = now_at - timedelta(days=1)
        self._minutes = 0
        self._log = ShelfLog.open(path, durable=False)

    def close(self) -> None:
        """Let go of the log."""
        self._log.close()

    def now(self) -> datetime:
        """Return the present: the end of the newest minute."""
        return self._start_at + timedelta(minutes=DAY + self._minutes)

    def grow(self, **changes: Any) -> None:
        """Write the next minute as the station does.

        Args:
            changes: what is different in it from the kitchen's usual.
        """
        self._minutes += 1
        minute = DAY + self._minutes
        (reading,) = readings(self._start_at, range(minute, minute + 1))
        reading = replace(reading, boot_id="going on", boot_s=60.0 * self._minutes, **changes)
        self._log.commit(Minute(reading))
