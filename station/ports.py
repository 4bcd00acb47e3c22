"""What the station needs from outside itself. The Pi's rig and the simulator's both fit here."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Protocol

from station.domain.alert import Alert
from station.domain.conditions import SlidingMean, State
from station.domain.heartbeat import Heartbeat
from station.domain.jars import Jar
from station.domain.needs import Needs
from station.domain.outlook import Outlook
from station.domain.readings import Miss, Reading, Sample
from station.domain.way import Way


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
        """Outbox numbers acknowledged by the other side since the last call; called every few seconds."""
        ...

    def given_up(self) -> tuple[int, ...]:
        """Outbox numbers that the other side will never take; the latest of them, at every call."""
        ...

    def withdraw(self, numbers: Iterable[int]) -> None:
        """Forget the messages with these outbox numbers, as far as they are not under way."""
        ...

    def ways(self) -> tuple[Way, ...]:
        """How each way out is doing."""
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
    """Everything outside the station: one on the Pi, another in the simulator.

    Args:
        clock: time.
        sensors: the parts that measure.
        publisher: the way to the broker; None sends nothing there.
        signal: lamp and buzzer.
        people: the ways to people's phones; None sends nothing there.
    """

    clock: Clock
    sensors: tuple[Sensor, ...]
    publisher: Publisher | None
    signal: Signal
    people: Publisher | None = field(default=None, kw_only=True)


@dataclass(frozen=True, slots=True)
class Redating:
    """The clock has come right: every untrusted time of this boot moves.

    Args:
        boot_id: the boot in question.
        boot_at: the wall time of boot second 0, now known.
        shift_s: by how much wall times of that boot taken so far were behind (positive) or ahead, seconds.
    """

    boot_id: str
    boot_at: datetime
    shift_s: float


@dataclass(frozen=True, slots=True)
class Minute:
    """All that one minute changes. It is kept whole or not at all.

    Args:
        reading: the reading, or None when there is only something else to keep.
        conditions: the states that changed.
        light: the sliding mean of the light, if it changed.
        alerts: the alerts that changed, as they are now.
        outlooks: jars to be written, as they are now.
        messages: new outbox rows, with id 0; the log numbers them.
        sent: outbox numbers that are done with: acknowledged, or given up.
        ways: how each way out is doing, if that is to be kept; all of them.
        heartbeat: the station's sign of life, if it is to be kept.
        redating: set once, when the clock has come right.
    """

    reading: Reading | None = None
    conditions: tuple[State, ...] = ()
    light: SlidingMean | None = None
    alerts: tuple[Alert, ...] = ()
    outlooks: tuple[Outlook, ...] = ()
    messages: tuple[Message, ...] = ()
    sent: tuple[int, ...] = ()
    ways: tuple[Way, ...] = ()
    heartbeat: Heartbeat | None = None
    redating: Redating | None = None


@dataclass(frozen=True, slots=True)
class Saved:
    """What the shelf log remembers of the station: read once at start.

    Args:
        conditions, light: as last kept.
        alerts: those that are open.
        outlooks: of every jar that ever stood on the shelf.
        untrusted_boot_id, untrusted_boot_at: the newest boot whose readings still wait for the right time, and the
            wall time of its second 0 as they are dated so far; "" and None if there is none.
        ways: as last kept.
        cleared: the last alert of each condition that cleared.
        measured_at: the end of the last reading with a measured value, or None.
    """

    conditions: tuple[State, ...] = ()
    light: SlidingMean | None = None
    alerts: tuple[Alert, ...] = ()
    outlooks: tuple[Outlook, ...] = ()
    untrusted_boot_id: str = ""
    untrusted_boot_at: datetime | None = None
    ways: tuple[Way, ...] = ()
    cleared: tuple[Alert, ...] = ()
    measured_at: datetime | None = None


class ShelfLog(Protocol):
    """Where the station keeps what it measured and said. One writer."""

    def saved(self) -> Saved:
        """Everything needed to go on after a restart; only open alerts."""
        ...

    def commit(self, minute: Minute) -> None:
        """Keep a minute, whole; when this returns it survives a power cut.

        Raises:
            StoreError: nothing of it was kept, or that is not known: the station must end.
        """
        ...

    def pending(self, most: int = 50, target: str | None = None) -> tuple[Message, ...]:
        """The oldest messages not yet acknowledged, in order: the broker's, or those of one target of the settings."""
        ...

    def waiting(self) -> Mapping[str | None, int]:
        """How many messages wait for each target, and under None for the broker; those without any left out."""
        ...

    def free_bytes(self) -> int | None:
        """Free space where the log lies, or None if that is not known."""
        ...

    def readings(self, since_at: datetime, until_at: datetime | None = None) -> Iterable[Reading]:
        """Readings by their dated time, in order, both ends included."""
        ...

    def hour_temps(self, since_at: datetime) -> Sequence[tuple[datetime, float]]:
        """Hourly mean temperatures, in order: the start of the hour (aware UTC) and °C; hours without one left out."""
        ...


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person did about an alert: acknowledged it, put it off until `until_at`, or took an acknowledgement back.

    The last is kept as a delay that ends where it begins.
    """

    alert_id: str
    at: datetime
    until_at: datetime | None = None

    @property
    def takes_back(self) -> bool:
        """Whether it takes back what was acknowledged before it."""
        return self.until_at == self.at


class NotebookView(Protocol):
    """What the station reads of the notebook. It never writes there."""

    def version(self) -> int:
        """A number that changes whenever another program has written; cheap."""
        ...

    def jars_on_shelf(self) -> tuple[Jar, ...]:
        """The jars that still work, and those strained within the last two days."""
        ...

    def needs(self) -> Needs:
        """What the judged jars, and the grower by hand, say about the needs of plants."""
        ...

    def answers_to(self, alert_ids: Iterable[str]) -> tuple[Answer, ...]:
        """What people did about these alerts, in the order in which they did it, whatever the clock said."""
        ...
