"""A day of alerts over a broker that is absent, stopped, killed, frozen and made to forget, with one listener."""

import json
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta

import pytest

from station import messages
from station.domain.alert import Alert, AlertKind
from tests.builders import START
from tests.daemon.broker import Broker
from tests.daemon.listener import Listener, Outbox, a_publisher, retained

CHANGES = 40
MISHAPS = ("stop", "kill", "freeze", "stop and forget", "kill and forget")


@dataclass
class Day:
    """Alerts that come and go, told to an outbox; keeps what is true."""

    chance: random.Random
    outbox: Outbox
    open_alerts: dict[tuple[AlertKind, str], Alert] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    """The ids of all changes, in order."""

    def change(self, minute: int) -> None:
        """Raise or clear an alert of the shelf or of a jar."""
        at = START + timedelta(minutes=minute)
        kind = self.chance.choice([AlertKind.COLD, AlertKind.SUN, AlertKind.DAMP, AlertKind.STRAIN])
        jar_id = self.chance.choice(["comfrey-3", "mint-1"]) if kind is AlertKind.STRAIN else ""
        alert = self.open_alerts.pop((kind, jar_id), None)
        if alert is None:
            alert = Alert(f"{kind}-{jar_id}-{minute}", kind, at, at, jar_id, value=1.0)
            self.open_alerts[kind, jar_id] = alert
            self._tell(alert, "raised", minute)
        else:
            self._tell(replace(alert, cleared_at=at), "cleared", minute)

    def _tell(self, alert: Alert, happening: str, minute: int) -> None:
        at = START + timedelta(minutes=minute)
        self.told.append(messages.event_id(alert, happening, at))
        for message in (messages.event(alert, happening, "", at, notify=True), messages.alert_state(alert, "", at)):
            self.outbox.put(message.topic, message.payload, retain=message.retain)

    @property
    def truth(self) -> dict[str, str]:
        """What the retained topics ought to say: the id of the alert by topic."""
        return {messages.alert_topic(*key): alert.id for key, alert in self.open_alerts.items()}


def mishap(broker: Broker, name: str, chance: random.Random, outbox: Outbox) -> None:
    """Let something happen to the broker while the station goes on; it runs again afterwards."""
    if name == "freeze":
        broker.freeze()
    else:
        getattr(broker, name.partition(" ")[0])()
        if name.endswith("forget"):
            broker.forget()
    outbox.until(lambda: False, chance.uniform(0.05, 0.4))
    broker.thaw() if name == "freeze" else broker.start()


@pytest.fixture
def absent(make_broker: Callable[..., Broker]) -> Broker:
    return make_broker()


@pytest.fixture
def outbox(absent: Broker) -> Iterator[Outbox]:
    one = Outbox(a_publisher(absent))
    yield one
    one.publisher.close()


def heard_ids(listener: Listener) -> list[str]:
    """The ids of the events, in the order in which they were first heard."""
    return list(dict.fromkeys(str(json.loads(payload)["id"]) for payload in listener.payloads("events")))


@pytest.mark.parametrize("seed", [1, 2, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(3, 40))])
def test_a_listener_hears_every_change_in_order_and_the_topics_end_at_the_truth(
    seed: int, absent: Broker, outbox: Outbox
) -> None:
    chance = random.Random(seed)
    day = Day(chance, outbox)
    broker, listener = absent, with_session(absent)
    for minute in range(5):
        day.change(minute)  # while the broker is away
    outbox.until(lambda: False, 0.2)
    broker.start()
    for minute in range(5, CHANGES):
        day.change(minute)
        outbox.until(lambda: False, chance.uniform(0.0, 0.03))
        if chance.random() < 0.25:
            mishap(broker, chance.choice(MISHAPS), chance, outbox)
    assert outbox.empties(20.0), (outbox.publisher.way(), len(outbox.waiting))
    assert outbox.until(lambda: len(heard_ids(listener)) == CHANGES)
    assert heard_ids(listener) == day.told
    assert outbox.until(lambda: kept_alerts(broker) == day.truth)
    listener.close()


def with_session(broker: Broker) -> Listener:
    """Return a listener whom the broker, which is stopped again, has met before."""
    broker.start()
    listener = Listener(broker).ready()
    broker.stop()
    return listener


def kept_alerts(broker: Broker) -> dict[str, str]:
    return {topic: value["id"] for topic, value in retained(broker).items() if topic.startswith("alerts/")}
