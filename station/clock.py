"""The one place that asks the system for the time."""

import time
from datetime import UTC, datetime
from pathlib import Path

BOOT_ID_FILE = Path("/proc/sys/kernel/random/boot_id")
SYNC_MARK = Path("/run/systemd/timesync/synchronized")
"""Kept by systemd-timesyncd: it appears with the first answer of a time server."""


class SystemClock:
    """The machine's own clock (see `station.ports.Clock`)."""

    def __init__(self, boot_id_file: Path = BOOT_ID_FILE, sync_mark: Path = SYNC_MARK) -> None:
        self.boot_id = boot_id_file.read_text(encoding="ascii").strip() if boot_id_file.exists() else "unknown"
        self._sync_mark = sync_mark

    def now(self) -> datetime:
        """Wall time, aware UTC."""
        return datetime.now(UTC)

    def boottime_s(self) -> float:
        """Seconds since boot, sleep included."""
        return time.clock_gettime(time.CLOCK_BOOTTIME)

    def synced(self) -> bool:
        """Whether the kernel or the time service says that the wall clock is right."""
        return self._sync_mark.exists() or _kernel_synced()

    def sleep(self, seconds: float) -> None:
        """Wait."""
        time.sleep(seconds)


def _kernel_synced() -> bool:
    """Ask the kernel through adjtimex(2), which any time service keeps up to date."""
    import ctypes

    libc = ctypes.CDLL(None, use_errno=True)
    if not hasattr(libc, "adjtimex"):
        return False
    timex = ctypes.create_string_buffer(256)  # modes = 0: only ask
    time_error = 5
    state = int(libc.adjtimex(timex))
    return 0 <= state < time_error
