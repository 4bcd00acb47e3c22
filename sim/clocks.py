"""Clocks of the model world: as fast as it goes, or paced on a real clock; both can be as wrong as a Pi's."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal

from pydantic import AwareDatetime

from sim.bounds import KEYS, NotNegative, Number
from station.domain.readings import aware
from station.errors import JarsideError
from station.ports import Clock


@dataclass(frozen=True, slots=True)
class Jump:
    """The wall clock jumps.

    Args:
        at_s: seconds since boot.
        by_s: how far, forward or back.
    """

    __pydantic_config__ = KEYS
    at_s: NotNegative
    by_s: Number


@dataclass(frozen=True, slots=True)
class ClockFaults:
    """What is wrong with a wall clock; nothing by default.

    Args:
        begins_at: what it says at every boot until it syncs; None for the true time.
        syncs: at which second since boot it learns the true time, or "never".
        jumps: when and how far it jumps; a jump before the sync is forgotten at the sync.
    """

    __pydantic_config__ = KEYS
    begins_at: AwareDatetime | None = None
    syncs: NotNegative | Literal["never"] = 0.0
    jumps: tuple[Jump, ...] = ()

    def synced(self, boot_s: float) -> bool:
        """Whether it believes that it knows the time."""
        return self.syncs != "never" and boot_s >= self.syncs

    def wall(self, true_at: datetime, boot_s: float) -> datetime:
        """Return what it shows `boot_s` seconds after boot, when it is really `true_at`."""
        synced = self.synced(boot_s)
        counted_from_s = self.syncs if synced and self.syncs != "never" else -1.0
        jumped_s = sum(jump.by_s for jump in self.jumps if counted_from_s < jump.at_s <= boot_s)
        shown = true_at if synced or self.begins_at is None else self.begins_at + timedelta(seconds=boot_s)
        return shown + timedelta(seconds=jumped_s)


TRUE = ClockFaults()
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class ManualClock:
    """A clock that stands still until someone sleeps or advances it.

    Args:
        start_at: the true time at the start, aware; for those who do not care, the start of 1970.
        faults: what is wrong with its wall time.
    """

    def __init__(self, start_at: datetime = EPOCH, faults: ClockFaults = TRUE) -> None:
        self._start_at = aware(start_at, "start of a clock")
        self._faults = faults
        self._advanced_s = 0.0
        self._booted_s = 0.0
        self._boots = 1

    @property
    def boot_id(self) -> str:
        """Which run of the machine this is."""
        return f"sim-{self._boots}"

    def elapsed_s(self) -> float:
        """Seconds since the start, through every boot: the world's own time."""
        return self._advanced_s

    def boottime_s(self) -> float:
        """Seconds since boot; never steps."""
        return self.elapsed_s() - self._booted_s

    def true_at(self) -> datetime:
        """The time as it really is."""
        return self._start_at + timedelta(seconds=self.elapsed_s())

    def now(self) -> datetime:
        """Wall time, as wrong as its faults make it."""
        return self._faults.wall(self.true_at(), self.boottime_s())

    def synced(self) -> bool:
        """Whether the wall clock is believed to be right."""
        return self._faults.synced(self.boottime_s())

    def sleep(self, seconds: float) -> None:
        """Let `seconds` go by at once."""
        self.advance(seconds)

    def advance(self, seconds: float) -> None:
        """Let `seconds` go by at once.

        Raises:
            JarsideError: time would run backwards.
        """
        if seconds < 0.0:
            raise JarsideError(f"a clock cannot go back by {-seconds:g} s", "Give a number of seconds from 0 up.")
        self._advanced_s += seconds

    def reboot(self, off_s: float = 0.0) -> None:
        """Start the machine again after `off_s` seconds without power: a new boot id, boot time from 0."""
        self.advance(off_s)
        self._boots += 1
        self._booted_s = self.elapsed_s()


class PacedClock(ManualClock):
    """A clock that runs at a multiple of a real one, after an optional stretch as fast as it goes.

    Args:
        start_at: the true time at the start, aware.
        base: the real clock that paces it.
        speed: seconds here per second there, above 0.
        fast_until_s: until this second since the start, sleeping takes no time.
        faults: what is wrong with its wall time.

    Raises:
        JarsideError: the speed is not above 0.
    """

    def __init__(
        self,
        start_at: datetime,
        base: Clock,
        speed: float = 1.0,
        fast_until_s: float = 0.0,
        faults: ClockFaults = TRUE,
    ) -> None:
        super().__init__(start_at, faults)
        if not speed > 0.0:
            raise JarsideError(f"a clock cannot run at {speed:g} times real time", "Give a speed above 0.")
        self._base = base
        self._speed = speed
        self._fast_until_s = fast_until_s
        self._paced_from_s = base.boottime_s() if fast_until_s <= 0.0 else None

    def elapsed_s(self) -> float:
        """Seconds since the start, through every boot: the world's own time."""
        if self._paced_from_s is None:
            return self._advanced_s
        return self._advanced_s + (self._base.boottime_s() - self._paced_from_s) * self._speed

    def sleep(self, seconds: float) -> None:
        """Wait for `seconds` of this clock's time, shorter or longer on the real one."""
        if self._paced_from_s is None:
            self.advance(seconds)
        else:
            self._base.sleep(seconds / self._speed)

    def advance(self, seconds: float) -> None:
        """Let `seconds` go by at once; the pace begins when the fast stretch is over."""
        super().advance(seconds)
        if self._paced_from_s is None and self._advanced_s >= self._fast_until_s:
            self._paced_from_s = self._base.boottime_s()
