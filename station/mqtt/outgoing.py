"""What waits for the broker: in order, one in flight, each until it is answered. Knows no network and no clock."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from station.ports import Message

_K = TypeVar("_K")
_V = TypeVar("_V")

CAPACITY = 64
"""How many outbox messages are held here at once; the others stay in the outbox."""
LATEST = 200
"""How many topics may have a latest value waiting, or a retained one remembered."""
REST_S = 60.0
"""For how long a topic that was refused is left alone."""
REPEAT_S = 120.0
"""The events of this long before the last acknowledgement are sent again after a break: that the broker acknowledged
them does not mean that it had written them down; systemd/mosquitto/jarside.conf has it do so every 60 s."""
MOST_REPEATS = 3
"""No event is sent again more often than this, so that a connection which breaks all the time still gets on."""
WAIT_FOR_LISTENERS_S = 120.0
"""For how long the listeners of a broker that does not know this station, and so perhaps lost its memory, are given
time to come back too. Until then an event that nobody hears is offered again."""
ASK_AGAIN_S = 2.0
HOPELESS_TRIES = 3

SUCCESS = 0x00
NO_LISTENER = 0x10
NO_TOPIC = 0x90
TOO_LARGE = 0x95
_HOPELESS = frozenset({NO_TOPIC, TOO_LARGE, 0x99})  # 0x99: payload format invalid
_FRAME_BYTES = 512  # more than header and properties of any message take


@dataclass(frozen=True, slots=True)
class Refusal:
    """The broker would not take a message: the reason code of MQTT 5, and when, in seconds of the given clock."""

    message: Message
    code: int
    at_s: float


@dataclass(frozen=True, slots=True)
class _Recent:
    """An event that was acknowledged at `at_s`, having been sent again `repeats` times."""

    message: Message
    at_s: float
    repeats: int


class Outgoing:
    """Messages on their way to the broker. Not for several threads at once: the publisher holds a lock around it."""

    def __init__(self) -> None:
        self.in_flight: Message | None = None
        self.refused: dict[str, Refusal] = {}
        """By topic: what the broker refused last, until it takes something there."""
        self.given_up: deque[Refusal] = deque(maxlen=CAPACITY)
        """What no further try will bring across."""
        self._queue: list[Message] = []
        self._owed: set[int] = set()
        self._acknowledged: list[int] = []
        self._standing: dict[str, Message] = {}
        self._recent: dict[int, _Recent] = {}
        self._resting: dict[str, float] = {}
        self._largest: int | None = None
        self._listeners_until_s = 0.0
        self._heard_s = 0.0
        self._broke: Message | None = None
        self._breaks = 0

    def __len__(self) -> int:
        return len(self._queue) + (self.in_flight is not None)

    def offer(self, message: Message) -> bool:
        """Take a message in; False if there is no room. One that is here already is not taken in twice.

        Of messages that are not kept (number 0) only the latest of each topic stays.
        """
        if message.id == 0:
            return self._offer_latest(message)
        if message.id in self._owed or message.id in self._acknowledged:
            return True
        if any(message.id == refusal.message.id for refusal in self.given_up):
            return True
        if len(self._owed) >= CAPACITY:
            return False
        self._owed.add(message.id)
        self._queue.append(message)
        return True

    def _offer_latest(self, message: Message) -> bool:
        waiting = [other for other in self._queue if other.id or other.topic != message.topic]
        if len(waiting) >= LATEST + CAPACITY:
            return False
        self._queue = [*waiting, message]
        return True

    def withdraw(self, numbers: Iterable[int]) -> None:
        """Forget waiting messages; one in flight stays."""
        gone = frozenset(numbers)
        self._queue = [message for message in self._queue if message.id not in gone]
        self._owed -= gone - {self.in_flight.id if self.in_flight else 0}

    def take(self, now_s: float) -> Message | None:
        """Return the next message to send, which is then in flight; None if there is none or one is in flight."""
        if self.in_flight is not None:
            return None
        while self.in_flight is None:
            message = next((one for one in self._queue if self._resting.get(one.topic, now_s) <= now_s), None)
            if message is None:
                return None
            self._queue.remove(message)
            if self._fits(message):
                self.in_flight = message
            else:
                self._give_up(message, TOO_LARGE, now_s)
        return self.in_flight

    def answered(self, code: int, now_s: float) -> None:
        """The broker answered the message in flight with this reason code."""
        message, self.in_flight = self.in_flight, None
        self._heard_s = now_s
        if message is None:
            return
        if code == NO_LISTENER and not message.retain and message.id and now_s < self._listeners_until_s:
            self._rest(message, now_s + ASK_AGAIN_S)
        elif code in (SUCCESS, NO_LISTENER):
            self._arrived(message, now_s)
        elif code in _HOPELESS:
            self._give_up(message, code, now_s)
        else:
            self.refused[message.topic] = Refusal(message, code, now_s)
            self._rest(message, now_s + REST_S)

    def connected(self, now_s: float, largest: int | None, forgotten: bool) -> None:  # noqa: FBT001
        """A connection stands: put in front what the broker may have lost.

        Args:
            now_s: seconds of a clock that never steps.
            largest: the longest packet that the broker takes, in bytes, or None.
            forgotten: whether the broker does not know this station, though it would remember it for days.
        """
        self._largest = largest
        self._resting.clear()
        if forgotten:  # a further break does not end the waiting
            self._listeners_until_s = now_s + WAIT_FOR_LISTENERS_S
        waiting = {message.topic for message in self._queue}
        again = [message for topic, message in self._standing.items() if topic not in waiting]
        again += [one.message for _, one in sorted(self._recent.items()) if self._heard_s - one.at_s <= REPEAT_S]
        self._queue = [*again, *(message for message in self._queue if message not in again)]

    def lost(self, now_s: float, faulty: bool) -> None:  # noqa: FBT001
        """The connection has gone; what was in flight goes back to the front.

        Args:
            now_s: seconds of a clock that never steps.
            faulty: whether it broke over something the two sides said to each other, not over the network. A message
                that brings this about again and again is given up: a broker may answer one that it finds too long
                like this.
        """
        message, self.in_flight = self.in_flight, None
        if message is None:
            return
        if faulty:
            self._breaks = self._breaks + 1 if message == self._broke else 1
            self._broke = message
        if faulty and self._breaks >= HOPELESS_TRIES:
            self._give_up(message, TOO_LARGE, now_s)
        elif not self._superseded(message):
            self._queue.insert(0, message)

    def acknowledged(self) -> tuple[int, ...]:
        """Return the outbox numbers acknowledged since the last call."""
        done, self._acknowledged = tuple(self._acknowledged), []
        return done

    def _superseded(self, message: Message) -> bool:
        """Whether a later value of the same topic waits, so that an unkept one need not go out again."""
        return message.id == 0 and any(other.topic == message.topic for other in self._queue)

    def _fits(self, message: Message) -> bool:
        size = len(message.payload) + len(message.topic.encode()) + _FRAME_BYTES
        return self._largest is None or size <= self._largest

    def _arrived(self, message: Message, now_s: float) -> None:
        self.refused.pop(message.topic, None)
        self._resting.pop(message.topic, None)
        self._settle(message, acknowledged=True)
        if message.retain:
            _remember(self._standing, message.topic, message, LATEST)
        elif message.id:
            before = self._recent.get(message.id)
            repeats = 0 if before is None else before.repeats + 1
            _remember(self._recent, message.id, _Recent(message, now_s, repeats), CAPACITY)
            if repeats >= MOST_REPEATS:
                del self._recent[message.id]

    def _rest(self, message: Message, until_s: float) -> None:
        self._resting[message.topic] = until_s
        if not self._superseded(message):
            self._queue.insert(0, message)

    def _give_up(self, message: Message, code: int, now_s: float) -> None:
        self.given_up.append(Refusal(message, code, now_s))
        self._settle(message, acknowledged=False)

    def _settle(self, message: Message, *, acknowledged: bool) -> None:
        if message.id in self._owed:
            self._owed.remove(message.id)
            if acknowledged:
                self._acknowledged.append(message.id)


def _remember(known: dict[_K, _V], key: _K, value: _V, most: int) -> None:
    """Put the newest last, and forget the oldest beyond `most`."""
    known.pop(key, None)
    known[key] = value
    if len(known) > most:
        del known[next(iter(known))]
