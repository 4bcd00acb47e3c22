"""Brings messages to people (see `station.ports.Publisher`): one at a time, each until its target has taken it."""

import json
import subprocess
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Final

from station.config import TargetSettings
from station.domain.way import Way, WayState, heading
from station.messages import target_of
from station.notify import send
from station.ports import Clock, Message

CAPACITY = 64
"""How many messages are held for one target at once; the others stay in the outbox."""
FIRST_RETRY_S = 60.0
LAST_RETRY_S = 3600.0
LONGEST_S = 60.0
"""A message that is not sent by then counts as not delivered."""
LATEST = 5
"""Of more messages than this that have waited, only the latest are written out: a summary, not a flood."""
GOODBYE_S = 0.9
SENDER: Final = (sys.executable, "-P", str(Path(send.__file__)))


@dataclass(slots=True)
class _Outlet:
    """One target, what waits for it, and how it is doing."""

    settings: TargetSettings
    waiting: dict[int, Message] = field(default_factory=dict)
    next_try_s: float = float("-inf")
    retry_s: float = FIRST_RETRY_S
    outcome: int | None = None
    checked: bool = False
    delivered_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class _Sending:
    """A sender at work."""

    outlet: _Outlet
    numbers: tuple[int, ...]
    """Of the messages under way; none if only the address is looked at."""
    process: subprocess.Popen[bytes]
    begun_s: float


class PeoplePublisher:
    """Brings messages to the targets of the settings, each in a process that ends with it.

    Nothing happens between calls: call `acknowledged` every few seconds. No call waits. With the first calls each
    address is looked at, so that one that is not understood is known before there is anything to send.

    Args:
        targets: the targets; a message for one that is not among them counts as done with.
        title: what stands above each message, such as the station's name.
        clock: a real one even for a simulated shelf, because the phones are real.
        sender: the command that sends.
        once: whether each message is tried once only, as a test that a person sends is.
    """

    def __init__(
        self,
        targets: Iterable[TargetSettings],
        title: str,
        clock: Clock,
        sender: Sequence[str] = SENDER,
        *,
        once: bool = False,
    ) -> None:
        self._outlets = {target.name: _Outlet(target) for target in targets}
        self._title = title
        self._clock = clock
        self._sender = tuple(sender)
        self._once = once
        self._sending: _Sending | None = None
        self._acknowledged: list[int] = []
        self._closed = False

    def offer(self, message: Message) -> bool:
        """Hand over one message; False when it cannot be taken now (try again later)."""
        outlet = self._outlets.get(target_of(message.topic) or "")
        if outlet is None:
            self._acknowledged.append(message.id)
            return True
        if message.id in self._acknowledged:  # it arrived since the last call
            return True
        if message.id not in outlet.waiting:
            if len(outlet.waiting) >= CAPACITY:
                return False
            outlet.waiting[message.id] = message
            # however often it failed: what is new does not wait for an hour
            outlet.next_try_s = min(outlet.next_try_s, self._clock.boottime_s() + FIRST_RETRY_S)
        self._go_on()
        return True

    def acknowledged(self) -> tuple[int, ...]:
        """Outbox numbers that their targets have taken since the last call."""
        self._go_on()
        done, self._acknowledged = tuple(self._acknowledged), []
        return done

    def given_up(self) -> tuple[int, ...]:
        """None: a target that does not take a message is tried again."""
        return ()

    def withdraw(self, numbers: Iterable[int]) -> None:
        """Forget the messages with these outbox numbers, as far as they are not under way."""
        under_way = () if self._sending is None else self._sending.numbers
        for number in set(numbers).difference(under_way):
            for outlet in self._outlets.values():
                outlet.waiting.pop(number, None)

    @property
    def busy(self) -> bool:
        """Whether a message is under way."""
        return self._sending is not None

    @property
    def checked(self) -> bool:
        """Whether every address has been looked at."""
        return not self._unchecked()

    def ways(self) -> tuple[Way, ...]:
        """How each way is doing, in the order of the settings."""
        return tuple(_way(outlet, once=self._once) for outlet in self._outlets.values())

    def close(self) -> None:
        """Let a message that is under way arrive, within a second; nothing is sent after that."""
        sending, self._closed = self._sending, True
        if sending is None:
            return
        try:
            sending.process.wait(GOODBYE_S if sending.numbers else 0.0)
            self._look_after(sending, self._clock.boottime_s())
        except subprocess.TimeoutExpired:
            sending.process.kill()
            sending.process.wait()
        self._sending = None

    def _go_on(self) -> None:
        now_s = self._clock.boottime_s()
        if self._sending is not None:
            self._look_after(self._sending, now_s)
        if self._sending is None and not self._closed:
            due = [one for one in self._outlets.values() if one.waiting and one.next_try_s <= now_s]
            outlet = next(iter(due or self._unchecked()), None)
            if outlet is not None:
                self._send(outlet, now_s)

    def _unchecked(self) -> list[_Outlet]:
        return [one for one in self._outlets.values() if not one.checked]

    def _look_after(self, sending: _Sending, now_s: float) -> None:
        outcome = sending.process.poll()
        if outcome is None and now_s - sending.begun_s > LONGEST_S:
            sending.process.kill()
            sending.process.wait()
            outcome = send.NOT_DELIVERED
        if outcome is not None:
            self._sending = None
            self._settle(sending.outlet, sending.numbers, outcome, now_s)

    def _send(self, outlet: _Outlet, now_s: float) -> None:
        """Send what waits for an outlet; where nothing does, only have its address looked at."""
        numbers = tuple(outlet.waiting)
        request = {"address": outlet.settings.address.get_secret_value(), "title": self._title}
        if numbers:
            request["body"] = _body([one.payload.decode(errors="replace") for one in outlet.waiting.values()])
        try:
            process = subprocess.Popen(  # noqa: S603 - our own program, and nothing of the message in its arguments
                self._sender, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
        except OSError:
            self._settle(outlet, numbers, send.NOT_DELIVERED, now_s)
            return
        _hand_over(process, json.dumps(request).encode())
        self._sending = _Sending(outlet, numbers, process, now_s)

    def _settle(self, outlet: _Outlet, numbers: tuple[int, ...], outcome: int, now_s: float) -> None:
        outlet.checked = True
        if not numbers:  # a look that could not be had says nothing of the way
            outlet.outcome = outcome if outcome in (send.NO_LIBRARY, send.UNKNOWN_ADDRESS) else None
            return
        outlet.outcome = outcome
        if outcome == send.DELIVERED:
            self._arrived(outlet, numbers)
        elif self._once:
            outlet.waiting.clear()
        else:
            outlet.next_try_s = now_s + outlet.retry_s
            outlet.retry_s = min(2 * outlet.retry_s, LAST_RETRY_S)

    def _arrived(self, outlet: _Outlet, numbers: tuple[int, ...]) -> None:
        outlet.retry_s, outlet.delivered_at = FIRST_RETRY_S, self._clock.now()
        for number in numbers:
            outlet.waiting.pop(number, None)
        self._acknowledged.extend(numbers)


def _hand_over(process: "subprocess.Popen[bytes]", request: bytes) -> None:
    """Write the request; it is far shorter than what a pipe holds, so this does not wait."""
    if process.stdin is not None:
        try:
            with process.stdin as pipe:
                pipe.write(request)
        except BrokenPipeError:
            return  # it ended at once; its exit code says so


def _body(texts: list[str]) -> str:
    if len(texts) <= LATEST:
        return "\n".join(texts)
    return "\n".join([f"{len(texts)} messages have waited. The latest:", *texts[-LATEST:]])


_CHECK = "Check the network and the address in the settings."


def _way(outlet: _Outlet, *, once: bool) -> Way:
    name = outlet.settings.name
    match outlet.outcome:
        case None:
            return Way(name, WayState.WAITING, f"Nothing has been sent to {name} yet.")
        case send.DELIVERED:
            return Way(name, WayState.WORKING, f"{heading(name)} takes messages.", "", outlet.delivered_at)
        case send.NO_LIBRARY:
            line, remedy = "The library that reaches phones is not installed.", "Run: pip install 'jarside[notify]'."
        case send.UNKNOWN_ADDRESS:
            line, remedy = f"The address of {name} is not understood.", "Write it as apprise's documentation shows."
        case _ if once:
            line, remedy = f"{heading(name)} did not take the message.", _CHECK
        case _:
            line, remedy = f"{heading(name)} did not take the last message.", f"It is tried again by itself. {_CHECK}"
    return Way(name, WayState.TROUBLE, line, remedy, outlet.delivered_at)
