"""What the station needs from outside itself. The Pi's rig and the simulator's both fit here."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from station.domain.readings import Miss, Reading, Sample


class Clock(Protocol):
    """Time, both hands: the wall clock, which may be wrong or step, and boot time, which never does."""

    @property
    def boot_id(self) -> str:
        """Which run of the machine this is."""
        ...

    def now(self) -> datetime:
        """Wall time, aware UTC."""
        ...

    def boottime_s(self) -> float:
        """Seconds since boot; never steps, goes on through sleep."""
        ...

    def synced(self) -> bool:
        """Whether the wall clock is known to be right."""
        ...

    def sleep(self, seconds: float) -> None:
        """Wait for `seconds`."""
        ...


class Sensor(Protocol):
    """One part that can be asked for a sample."""

    @property
    def name(self) -> str:
        """Its name in the settings."""
        ...

    @property
    def spacing_s(self) -> float:
        """The least number of seconds between two questions."""
        ...

    def open(self) -> None:
        """Load the driver and take the pins.

        Raises:
            SensorError: no driver, no pins, no permission; the message says what to do.
        """
        ...

    def sample(self) -> Sample | Miss:
        """Ask once. Expected failures are a `Miss`, never an exception."""
        ...

    def close(self) -> None:
        """Let go of the pins. May be called twice."""
        ...


@dataclass(frozen=True, slots=True)
class Message:
    """One message on its way out.

    Args:
        id: the outbox number; the same on a repeat. 0 for a message that is not kept.
        topic: below the station's root, such as `alerts/cold`.
        payload: the bytes to send.
        retain: whether a broker keeps it for later subscribers.
        content_type: a media type.
        created_at: aware UTC.
    """

    id: int
    topic: str
    payload: bytes
    retain: bool
    content_type: str
    created_at: datetime


class Publisher(Protocol):
    """A way out for messages. None of these calls blocks for long or raises for an absent broker."""

    def offer(self, message: Message) -> bool:
        """Hand over one message; False when it cannot be taken now (try again later)."""
        ...

    def acknowledged(self) -> tuple[int, ...]:
        """Outbox numbers acknowledged by the other side since the last call."""
        ...

    def close(self) -> None:
        """Say goodbye, within a second."""
        ...


class Signal(Protocol):
    """The lamp and buzzer of the station: shows one of `good`, `watch`, `act`."""

    def show(self, level: str) -> None:
        """Show the level; calling again with the same level does nothing."""
        ...

    def close(self) -> None:
        """Dark and silent."""
        ...


@dataclass(frozen=True, slots=True)
class Rig:
    """Everything outside the station: one on the Pi, another in the simulator."""

    clock: Clock
    sensors: tuple[Sensor, ...]
    publisher: Publisher
    signal: Signal


class ReadingSource(Protocol):
    """Something that can be asked again for what was measured since a time."""

    def readings(self, since_at: datetime, until_at: datetime | None = None) -> Iterator[Reading]:
        """Readings in order of time, both ends included."""
        ...
