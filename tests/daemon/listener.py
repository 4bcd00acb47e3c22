"""The other end: an outbox in memory that feeds a publisher, and a client of the broker that listens."""

import json
from collections.abc import Callable
from datetime import timedelta
from itertools import count
from typing import Any

from paho.mqtt.client import Client, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion, MQTTProtocolVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from station.clock import SystemClock
from station.config import MqttSettings
from station.mqtt import MqttPublisher
from station.ports import Message
from tests.builders import START
from tests.daemon.broker import PASSWORDS, Broker, until
from tests.left_open import closed_after

STATION = "kitchen"
KEEPALIVE_S = 5
ROOT = f"jarside/{STATION}/"


class Outbox:
    """Messages that wait for their acknowledgement, in memory, and the publisher that they go to."""

    def __init__(self, publisher: MqttPublisher) -> None:
        self.publisher = publisher
        self.waiting: dict[int, Message] = {}
        self.sent: list[int] = []
        self._numbers = count(1)

    def put(self, topic: str, payload: bytes = b"{}", *, retain: bool = False) -> int:
        number = next(self._numbers)
        at = START + timedelta(seconds=number)
        self.waiting[number] = Message(number, topic, payload, retain, "application/json", at)
        return number

    def step(self) -> None:
        """What the station does every few seconds."""
        for number in self.publisher.acknowledged():
            self.sent.append(number)
            self.waiting.pop(number, None)
        for message in list(self.waiting.values())[:50]:
            if not self.publisher.offer(message):
                break

    def until(self, true: Callable[[], object], within_s: float = 60.0) -> bool:
        return until(lambda: self.step() or true(), within_s)

    def empties(self, within_s: float = 60.0) -> bool:
        return self.until(lambda: not self.waiting, within_s)


class Listener:
    """A client with a session that listens to everything of the station, through every break.

    Args:
        broker: the broker.
        session: the name under which the broker keeps what it missed; "" for none.
    """

    def __init__(self, broker: Broker, session: str = "wall-screen") -> None:
        self.heard: list[MQTTMessage] = []
        properties = Properties(PacketTypes.CONNECT)
        properties.SessionExpiryInterval = 3600 if session else 0
        self._client = Client(CallbackAPIVersion.VERSION2, session, protocol=MQTTProtocolVersion.MQTTv5)
        self._client.username_pw_set("jarside-reader", PASSWORDS["jarside-reader"])
        self._client.reconnect_delay_set(0.05, 0.2)  # type: ignore[arg-type]
        self._client.on_connect = lambda client, *_: client.subscribe(ROOT + "#", 1)
        self._client.on_message = lambda _, __, message: self.heard.append(message)
        self._listening = self._caught_up = False
        self._client.on_subscribe = lambda *_: setattr(self, "_listening", True)
        self._client.on_unsubscribe = lambda *_: setattr(self, "_caught_up", True)
        self._client.connect_async("127.0.0.1", broker.port, 5, clean_start=not session, properties=properties)
        self._client.loop_start()
        closed_after(self)

    def ready(self) -> "Listener":
        assert until(lambda: self._listening)
        return self

    def caught_up(self) -> list[MQTTMessage]:
        """What it has heard once all has come that the broker had for it at the call.

        The broker answers in order: what it had sent before is here when it answers a question about nothing.
        """
        self._caught_up = False
        self._client.unsubscribe("nothing")
        assert until(lambda: self._caught_up)
        return list(self.heard)

    def payloads(self, topic: str) -> list[bytes]:
        """What came on a topic, repeats and retained values included."""
        return [bytes(one.payload) for one in list(self.heard) if one.topic == ROOT + topic]

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


def retained(broker: Broker) -> dict[str, Any]:
    """Return what the broker keeps below the station's root, by topic, as a newcomer gets it."""
    newcomer = Listener(broker, "").ready()
    try:
        before, heard = -1, newcomer.caught_up()
        while len(heard) > before:  # no more than 20 are under way at once (mosquitto.conf(5): max_inflight_messages)
            before, heard = len(heard), newcomer.caught_up()
        return {one.topic.removeprefix(ROOT): json.loads(one.payload) for one in heard if one.retain}
    finally:
        newcomer.close()


def a_publisher(broker: Broker, **changes: Any) -> MqttPublisher:
    """A publisher that knows its password and does not wait long between attempts."""
    file = broker.folder / "password"
    file.write_text(PASSWORDS["jarside"] + "\n")
    known = {"host": "127.0.0.1", "port": broker.port, "username": "jarside", "password_file": file}
    settings = MqttSettings.model_validate({**known, "keepalive_s": KEEPALIVE_S, **changes})
    return closed_after(MqttPublisher(settings, STATION, SystemClock(), first_retry_s=0.05, last_retry_s=0.2))
