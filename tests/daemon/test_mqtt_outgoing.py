"""The order of things on the way to the broker, without a broker. Reason codes: MQTT 5.0, section 2.4."""

import itertools
import random
from datetime import timedelta

import pytest

from station.mqtt.outgoing import (
    CAPACITY,
    HOPELESS_TRIES,
    LATEST,
    NO_LISTENER,
    NO_TOPIC,
    REPEAT_S,
    REST_S,
    SUCCESS,
    TOO_LARGE,
    WAIT_FOR_LISTENERS_S,
    Outgoing,
)
from station.ports import Message
from tests.builders import START

NOT_AUTHORIZED = 0x87


def a_message(number: int, topic: str = "events", payload: bytes = b"{}", *, retain: bool = False) -> Message:
    return Message(number, topic, payload, retain, "application/json", START + timedelta(seconds=number))


def connected(*messages: Message) -> Outgoing:
    outgoing = Outgoing()
    outgoing.connected(0.0, None, forgotten=False)
    for message in messages:
        assert outgoing.offer(message)
    return outgoing


def sent(outgoing: Outgoing, now_s: float = 0.0, code: int = SUCCESS) -> list[int]:
    """Return the numbers that go out when everything is answered with `code`."""
    numbers = []
    while (message := outgoing.take(now_s)) is not None:
        numbers.append(message.id)
        outgoing.answered(code, now_s)
    return numbers


def test_messages_go_one_at_a_time_and_in_order() -> None:
    outgoing = connected(a_message(1), a_message(2))
    first = outgoing.take(0.0)
    assert first is not None
    assert first.id == 1
    assert outgoing.take(0.0) is None
    assert outgoing.acknowledged() == ()
    outgoing.answered(SUCCESS, 0.0)
    assert outgoing.acknowledged() == (1,)
    assert sent(outgoing) == [2]
    assert outgoing.acknowledged() == (2,)
    assert outgoing.acknowledged() == ()


def test_what_was_in_flight_goes_out_again_first_and_with_its_number() -> None:
    outgoing = connected(a_message(1), a_message(2))
    outgoing.take(0.0)
    outgoing.lost(1.0, faulty=False)
    outgoing.connected(2.0, None, forgotten=False)
    assert sent(outgoing) == [1, 2]


def test_an_offer_repeated_before_the_acknowledgement_is_taken_once() -> None:
    outgoing = connected(a_message(1), a_message(1))
    outgoing.take(0.0)
    assert outgoing.offer(a_message(1))
    outgoing.answered(SUCCESS, 0.0)
    assert sent(outgoing) == []


def test_an_offer_repeated_before_the_acknowledgement_is_taken_note_of_is_not_sent_again() -> None:
    """The broker may answer, in another thread, between the two calls with which the station looks."""
    outgoing = connected(a_message(1))
    assert sent(outgoing) == [1]
    assert outgoing.offer(a_message(1))
    assert sent(outgoing) == []
    assert outgoing.acknowledged() == (1,)


def test_no_listener_is_success() -> None:
    outgoing = connected(a_message(1))
    assert sent(outgoing, code=NO_LISTENER) == [1]
    assert outgoing.acknowledged() == (1,)


def test_what_was_acknowledged_shortly_before_a_break_goes_out_again_before_what_is_new() -> None:
    outgoing = connected(a_message(1))
    assert sent(outgoing, 0.0) == [1]
    outgoing.offer(a_message(2))
    assert sent(outgoing, REPEAT_S + 1) == [2]
    outgoing.offer(a_message(3))
    outgoing.take(REPEAT_S + 2)
    outgoing.lost(REPEAT_S + 3, faulty=False)
    outgoing.connected(9000.0, None, forgotten=False)  # however long the break was
    assert sent(outgoing, 9000.0) == [2, 3]
    assert outgoing.acknowledged() == (1, 2, 3)


def test_retained_topics_are_put_right_after_every_break_with_their_latest_value() -> None:
    outgoing = connected(
        a_message(1, "alerts/cold", b"open", retain=True),
        a_message(2, "alerts/hot", b"open", retain=True),
        a_message(3, "alerts/hot", b"", retain=True),
    )
    assert sent(outgoing) == [1, 2, 3]
    outgoing.offer(a_message(4, "alerts/cold", b"", retain=True))
    outgoing.lost(1.0, faulty=False)
    outgoing.connected(2.0, None, forgotten=True)
    assert sent(outgoing, 2.0) == [3, 4]


def test_of_unkept_messages_only_the_latest_waits() -> None:
    outgoing = connected(*(a_message(0, "readings", str(minute).encode()) for minute in range(1440)))
    message = outgoing.take(0.0)
    assert message is not None
    assert message.payload == b"1439"
    outgoing.offer(a_message(0, "readings", b"1440"))
    outgoing.lost(1.0, faulty=False)
    outgoing.connected(2.0, None, forgotten=False)
    assert sent(outgoing) == [0]


def test_a_refused_topic_rests_and_holds_up_no_other() -> None:
    outgoing = connected(a_message(1), a_message(2, "alerts/cold"), a_message(3))
    outgoing.take(0.0)
    outgoing.answered(NOT_AUTHORIZED, 0.0)
    assert outgoing.refused["events"].code == NOT_AUTHORIZED
    assert sent(outgoing, 1.0) == [2]
    assert outgoing.acknowledged() == (2,)
    assert sent(outgoing, REST_S) == [1, 3]
    assert not outgoing.refused


@pytest.mark.parametrize("code", [NO_TOPIC, TOO_LARGE])
def test_what_can_never_arrive_is_given_up_and_said(code: int) -> None:
    outgoing = connected(a_message(1), a_message(2))
    outgoing.take(0.0)
    outgoing.answered(code, 5.0)
    assert [(one.message.id, one.code, one.at_s) for one in outgoing.given_up] == [(1, code, 5.0)]
    assert sent(outgoing) == [2]
    assert outgoing.offer(a_message(1))  # offered again by an outbox that still has it
    assert sent(outgoing) == []
    assert outgoing.acknowledged() == (2,)


def test_what_is_longer_than_the_broker_takes_is_not_sent_at_all() -> None:
    outgoing = Outgoing()
    outgoing.connected(0.0, 1000, forgotten=False)
    outgoing.offer(a_message(1, payload=bytes(2000)))
    outgoing.offer(a_message(2))
    assert sent(outgoing) == [2]
    assert [one.message.id for one in outgoing.given_up] == [1]


def test_a_message_that_breaks_the_connection_each_time_is_given_up() -> None:
    outgoing = connected(a_message(1), a_message(2))
    for _ in range(HOPELESS_TRIES):
        assert not outgoing.given_up
        outgoing.take(0.0)
        outgoing.lost(0.0, faulty=True)
        outgoing.connected(0.0, None, forgotten=False)
    assert [one.message.id for one in outgoing.given_up] == [1]
    assert sent(outgoing) == [2]


def test_a_network_that_breaks_each_time_costs_no_message() -> None:
    outgoing = connected(a_message(1))
    for _ in range(100):
        outgoing.take(0.0)
        outgoing.lost(0.0, faulty=False)
        outgoing.connected(0.0, None, forgotten=False)
    assert sent(outgoing) == [1]


def test_a_broker_that_lost_its_memory_gets_events_only_once_someone_listens() -> None:
    outgoing = connected(a_message(1), a_message(2, "alerts/cold", retain=True))
    outgoing.connected(100.0, None, forgotten=True)
    assert sent(outgoing, 100.0, NO_LISTENER) == [1, 2]
    assert outgoing.acknowledged() == (2,)
    assert sent(outgoing, 110.0, SUCCESS) == [1]
    assert outgoing.acknowledged() == (1,)


def test_a_further_break_does_not_end_the_waiting_for_listeners() -> None:
    outgoing = connected(a_message(1))
    outgoing.connected(100.0, None, forgotten=True)
    outgoing.lost(101.0, faulty=False)
    outgoing.connected(102.0, None, forgotten=False)  # the broker knows us again, but not yet those who listen
    assert sent(outgoing, 102.0, NO_LISTENER) == [1]
    assert outgoing.acknowledged() == ()


def test_where_nobody_ever_listens_the_events_are_done_with_after_a_while() -> None:
    outgoing = connected(a_message(1))
    outgoing.connected(100.0, None, forgotten=True)
    sent(outgoing, 100.0, NO_LISTENER)
    sent(outgoing, 100.0 + WAIT_FOR_LISTENERS_S, NO_LISTENER)
    assert outgoing.acknowledged() == (1,)


def test_no_more_is_held_than_there_is_room_for_however_long_the_broker_is_away() -> None:
    outgoing = Outgoing()
    for minute in range(10 * 1440):
        outgoing.offer(a_message(minute + 1, payload=bytes(300)))
        outgoing.offer(a_message(0, f"jars/{minute}", bytes(300), retain=True))
    assert len(outgoing) <= 2 * CAPACITY + LATEST
    assert outgoing.offer(a_message(999_999)) is False


class Forgetful:
    """A broker that acknowledges before it delivers, and may lose its memory at a break; with one listener."""

    def __init__(self, chance: random.Random) -> None:
        self.retained: dict[str, bytes] = {}
        self.heard: list[int] = []
        self._chance = chance
        self._undelivered: list[int] = []

    def take(self, message: Message) -> None:
        if message.retain:
            self.retained[message.topic] = message.payload
        else:
            self._undelivered.append(message.id)

    def deliver(self) -> None:
        if self._undelivered and self._chance.random() < 0.5:
            number = self._undelivered.pop(0)
            self.heard += [] if number in self.heard else [number]

    def forget(self) -> None:
        self.retained.clear()
        self._undelivered.clear()


class Crossing:
    """An outbox, a connection that breaks at random, and a forgetful broker behind it."""

    def __init__(self, seed: int, messages: list[Message]) -> None:
        self.chance = random.Random(seed)
        self.broker = Forgetful(self.chance)
        self.waiting = {message.id: message for message in messages}
        self._outgoing = Outgoing()
        self._now_s = 0.0
        self._up = False

    def step(self, breaks: float = 0.05) -> None:
        self._now_s += self.chance.random()
        if self.chance.random() < breaks or not (breaks or self._up):
            self._break()
        for message in itertools.islice(self.waiting.values(), 10):
            if not self._outgoing.offer(message):
                break
        message_out = self._outgoing.take(self._now_s) if self._up else None
        if message_out is not None:
            self.broker.take(message_out)
            self._outgoing.answered(SUCCESS, self._now_s)
        self.broker.deliver()
        for number in self._outgoing.acknowledged():
            self.waiting.pop(number, None)

    def _break(self) -> None:
        self._up = not self._up
        if not self._up:
            self._outgoing.lost(self._now_s, faulty=False)
            return
        forgotten = self.chance.random() < 0.5
        if forgotten:
            self.broker.forget()
        self._outgoing.connected(self._now_s, None, forgotten=forgotten)


@pytest.mark.parametrize("seed", range(20))
def test_whatever_breaks_events_are_heard_in_order_and_topics_end_at_their_last_value(seed: int) -> None:
    states = [a_message(i, f"alerts/{i % 3}", str(i).encode(), retain=True) for i in range(1, 60)]
    crossing = Crossing(seed, states + [a_message(i) for i in range(100, 160)])
    for _ in itertools.takewhile(lambda _: crossing.waiting, range(50_000)):
        crossing.step()
    for _ in range(1000):  # in the end all is calm
        crossing.step(breaks=0.0)
    assert not crossing.waiting
    assert crossing.broker.heard == list(range(100, 160))
    assert crossing.broker.retained == {"alerts/0": b"57", "alerts/1": b"58", "alerts/2": b"59"}
