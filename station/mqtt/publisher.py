"""The publisher that speaks to a broker (see `station.ports.Publisher`)."""

import threading
from collections import deque
from collections.abc import Iterable
from datetime import datetime
from secrets import token_hex

from station.config import MqttSettings
from station.domain.way import BROKER, Way, WayState
from station.errors import SettingsError
from station.mqtt.commands import EXAMPLE, answer_of
from station.mqtt.faults import (
    Fault,
    broken_connection,
    connect_fault,
    refused_connection,
    refused_message,
    unsteady_connection,
)
from station.mqtt.link import Link
from station.mqtt.outgoing import NO_LISTENER, NO_TOPIC, SUCCESS, Outgoing
from station.ports import Answer, Clock, Message

FIRST_RETRY_S = 1.0
LAST_RETRY_S = 60.0
STEADY_S = 10.0
"""A connection that stood this long counts as a good one: the next break is the first again."""
SHORT_ONES = 3
"""After so many connections that did not stand so long in a row, that is what is said."""
LONGEST_ATTEMPT_S = 120.0
GOODBYE_S = 0.9
SHOWN_S = 24 * 3600.0
"""For how long it is said that a message was given up."""
MISHEARD_SHOWN_S = 3600.0
"""For how long it is said that a command was not understood."""


class MqttPublisher:
    """Brings messages to a broker: at least once, in order, one in flight.

    It connects when it is first asked for anything, and again whenever that is needed and it is asked: call
    `acknowledged` every few seconds. No call waits for the network.

    Args:
        settings: the section of the settings; its host is set.
        station: the station's name.
        clock: a real one even for a simulated shelf, because the broker is real.
        first_retry_s, last_retry_s: the shortest and the longest wait between two attempts to connect.
        guest: whether it only passes by, beside the station: it then has no session, and no will that says "offline".
    """

    def __init__(
        self,
        settings: MqttSettings,
        station: str,
        clock: Clock,
        first_retry_s: float = FIRST_RETRY_S,
        last_retry_s: float = LAST_RETRY_S,
        *,
        guest: bool = False,
    ) -> None:
        self.root = f"jarside/{station}/"
        self._settings = settings
        self._guest = guest
        self._name = f"jarside-{station}-{token_hex(4)}" if guest else f"jarside-{station}"
        self._clock = clock
        self._retry_s = self._first_retry_s = first_retry_s
        self._last_retry_s = last_retry_s
        self._where = f"{settings.host}:{settings.port}"
        self._lock = threading.Lock()
        """Around everything below. Never held while paho is called: paho calls back with locks of its own held."""
        self._outgoing = Outgoing()
        self._link: Link | None = None
        self._begun_s = 0.0
        self._stands = False
        self._stumbled = False
        self._short_ones = 0
        self._sent_s = 0.0
        self._next_try_s = float("-inf")
        self._fault: Fault | None = None
        self._delivered_at: datetime | None = None
        self._answers: deque[Answer] = deque(maxlen=50)
        self._misheard_s = float("-inf")
        self._closed = False

    def offer(self, message: Message) -> bool:
        """Hand over one message; False when it cannot be taken now (try again later).

        Of messages with the number 0 only the latest of each topic is held. Retained messages are remembered, and sent
        again after every break. What the broker will never take is reported by `given_up` and not tried again.
        """
        with self._lock:
            taken = self._outgoing.offer(message)
        self._go_on()
        return taken

    def acknowledged(self) -> tuple[int, ...]:
        """Outbox numbers acknowledged by the broker since the last call."""
        self._go_on()
        with self._lock:
            return self._outgoing.acknowledged()

    def given_up(self) -> tuple[int, ...]:
        """Outbox numbers that the broker will never take, such as ones that are too long; the latest of them."""
        with self._lock:
            return tuple(refusal.message.id for refusal in self._outgoing.given_up if refusal.message.id)

    def withdraw(self, numbers: Iterable[int]) -> None:
        """Forget the messages with these outbox numbers, as far as they are not under way."""
        with self._lock:
            self._outgoing.withdraw(numbers)

    @property
    def held(self) -> int:
        """How many messages are held here."""
        with self._lock:
            return len(self._outgoing)

    def answers(self) -> tuple[Answer, ...]:
        """What people asked for through the command topic since the last call."""
        taken = []
        while self._answers:
            taken.append(self._answers.popleft())
        return tuple(taken)

    def way(self) -> Way:
        """How the way to the broker is doing."""
        with self._lock:
            fault = (self._refusal() if self._stands else None) or self._fault
            if fault is not None:
                return Way(BROKER, WayState.TROUBLE, fault.line, fault.remedy, self._delivered_at)
            if not self._stands:
                return Way(BROKER, WayState.WAITING, f"Connecting to {self._where}.", "", self._delivered_at)
            more, remedy = self._misheard()
            return Way(BROKER, WayState.WORKING, f"Connected to {self._where}.{more}", remedy, self._delivered_at)

    def _misheard(self) -> tuple[str, str]:
        """Return what is said of a command that was not understood a short while ago, and what to do."""
        if self._clock.boottime_s() - self._misheard_s >= MISHEARD_SHOWN_S:
            return "", ""
        return " A command was not understood.", f"Write it as {EXAMPLE}; jarside init shows more."

    def ways(self) -> tuple[Way, ...]:
        """The one way that this publisher has."""
        return (self.way(),)

    def close(self) -> None:
        """Say goodbye, within a second. The broker then says that this station is offline."""
        with self._lock:
            link, self._link, self._closed = self._link, None, True
            stands, self._stands = self._stands, False
        if link is not None:
            link.close(GOODBYE_S if stands else 0.0)

    def stands(self, link: Link, largest: int | None, known: bool) -> None:  # noqa: FBT001
        """The broker has let us in."""
        with self._lock:
            wanted = link is self._link
            if wanted:
                self._stands, self._begun_s = True, self._clock.boottime_s()
                self._fault = unsteady_connection(self._where) if self._short_ones >= SHORT_ONES else None
                # a guest is never known: that says nothing of what the broker remembers, or of who listens to it
                forgotten = not (known or self._guest)
                self._outgoing.connected(self._begun_s, largest, forgotten=forgotten)
        if wanted:
            self._pump(link)
        else:
            link.drop()  # it was closed while it was being opened

    def failed(self, link: Link, error: BaseException | None) -> None:
        """The attempt has failed."""
        self._end(link, connect_fault(error, self._where))

    def refused(self, link: Link, code: int) -> None:
        """The broker will not let us in; paho then ends the connection."""
        self._end(link, refused_connection(code, self._where))

    def ended(self, link: Link, code: int, faulty: bool) -> None:  # noqa: FBT001
        """The connection has gone."""
        self._end(link, broken_connection(code, self._where, answered=self._stands), faulty=faulty)

    def answered(self, link: Link, code: int) -> None:
        """The broker has answered the message in flight."""
        with self._lock:
            if link is not self._link:
                return
            self._outgoing.answered(code, self._clock.boottime_s())
            if code in (SUCCESS, NO_LISTENER):
                self._delivered_at = self._clock.now()
        self._pump(link)

    def heard(self, payload: bytes) -> None:
        """A command has come; that one was not understood is said for a while."""
        # dated as minutes are: it must not come after the one in which it is heard
        answer = answer_of(payload, self._clock.now().replace(microsecond=0))
        if answer is None:
            self._misheard_s = self._clock.boottime_s()
        else:
            self._answers.append(answer)

    def stumbled(self, link: Link, error: Exception) -> None:
        """Something unforeseen has happened in a callback: start over with a new connection at the next call."""
        with self._lock:
            if link is self._link:
                self._stumbled = True
                self._fault = Fault(f"The connection to {self._where} was reset ({type(error).__name__}).", "")

    def _refusal(self) -> Fault | None:
        refusals = list(self._outgoing.refused.values())
        given_up = list(self._outgoing.given_up)[-1:]
        refusals += [one for one in given_up if self._clock.boottime_s() - one.at_s < SHOWN_S]
        return refused_message(refusals[0], self.root, self._settings.username) if refusals else None

    def _go_on(self) -> None:
        """Connect if it is time to, start over if the link is stuck, send if there is something to send."""
        now_s = self._clock.boottime_s()
        link = self._link
        if link is None:
            if now_s >= self._next_try_s and not self._closed:
                self._connect(now_s)
        elif self._stumbled or self._stuck(now_s):
            link.drop()
            self._end(link, self._fault or broken_connection(0, self._where, answered=self._stands))
        else:
            self._note_steadiness(now_s)
            self._pump(link)

    def _note_steadiness(self, now_s: float) -> None:
        if self._stands and now_s - self._begun_s >= STEADY_S:
            with self._lock:
                self._short_ones, self._retry_s, self._fault = 0, self._first_retry_s, None

    def _stuck(self, now_s: float) -> bool:
        """Whether paho's thread has died or hangs: it would have ended a silent connection before this."""
        if not self._stands:
            return now_s - self._begun_s > LONGEST_ATTEMPT_S
        return self._outgoing.in_flight is not None and now_s - self._sent_s > 2 * self._settings.keepalive_s

    def _connect(self, now_s: float) -> None:
        link = Link(self._settings, self.root, self._name, self, guest=self._guest)
        with self._lock:
            self._link, self._begun_s = link, now_s
            self._stands = self._stumbled = False
        try:
            link.open()
        except SettingsError as error:
            self._end(link, Fault(f"{error.what}.", error.remedy))

    def _end(self, link: Link, fault: Fault, *, faulty: bool = False) -> None:
        with self._lock:
            if link is not self._link:
                return
            now_s = self._clock.boottime_s()
            if self._stands:
                self._short_ones += 1
            self._fault = self._fault if self._stumbled and self._fault else fault
            self._link, self._stands, self._stumbled = None, False, False
            self._outgoing.lost(now_s, faulty)
            self._next_try_s = now_s + self._retry_s
            self._retry_s = min(2 * self._retry_s, self._last_retry_s)

    def _pump(self, link: Link) -> None:
        """Send the next message if none is in flight."""
        with self._lock:
            now_s = self._clock.boottime_s()
            message = self._outgoing.take(now_s) if self._stands and link is self._link else None
            if message is None:
                return
            self._sent_s = now_s
        try:
            link.send(message)
        except ValueError:
            self.answered(link, NO_TOPIC)
