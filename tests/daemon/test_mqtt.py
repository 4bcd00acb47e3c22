"""The way to a real broker, on the loopback: what arrives, in which order, and what survives a broker's bad days."""

import json
import re
import shlex
import subprocess
import threading
from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest

from station import messages
from station.cli.init_command import TEMPLATE
from station.domain.heartbeat import Heartbeat
from station.domain.way import WayState
from station.mqtt import MqttPublisher
from station.mqtt.commands import answer_of
from station.ports import Answer, Message
from tests.builders import START, a_reading
from tests.daemon.broker import Broker, until
from tests.daemon.listener import ROOT, Listener, Outbox, a_publisher, retained

Make = Callable[..., Broker]


@pytest.fixture
def outbox(broker: Broker) -> Iterator[Outbox]:
    one = Outbox(a_publisher(broker))
    yield one
    one.publisher.close()


@pytest.fixture
def listener(broker: Broker) -> Iterator[Listener]:
    one = Listener(broker).ready()
    yield one
    one.close()


def events(listener: Listener) -> list[int]:
    return [int(payload) for payload in listener.payloads("events")]


def put_events(outbox: Outbox, count: int) -> list[int]:
    first = outbox.put("events", b"0")
    numbers = [first, *(outbox.put("events", b"0") for _ in range(count - 1))]
    for number in numbers:
        old = outbox.waiting[number]
        outbox.waiting[number] = Message(number, old.topic, str(number).encode(), False, "text/plain", old.created_at)
    return numbers


def first_seen(numbers: list[int]) -> list[int]:
    return list(dict.fromkeys(numbers))


def test_events_arrive_in_order_and_are_marked_sent_only_once_acknowledged(outbox: Outbox, listener: Listener) -> None:
    numbers = put_events(outbox, 120)
    assert outbox.sent == []
    assert outbox.empties()
    assert outbox.sent == numbers
    assert until(lambda: len(listener.payloads("events")) == 120)
    assert events(listener) == numbers
    assert outbox.publisher.way().state is WayState.WORKING
    assert outbox.publisher.way().delivered_at is not None


def test_a_message_carries_its_type_its_number_and_a_life_span(outbox: Outbox, listener: Listener) -> None:
    outbox.put("events", b"{}")
    outbox.put("alerts/cold", b"{}", retain=True)
    reading = messages.readings(a_reading(), "kitchen")
    assert reading is not None
    outbox.publisher.offer(reading)
    assert outbox.empties()
    assert until(lambda: len(listener.heard) == 3)
    found = {one.topic.rpartition("/")[2]: one for one in listener.heard}
    event, alert, pack = (found[name].properties for name in ("events", "cold", "readings"))
    assert event.ContentType == "application/json"
    assert event.UserProperty == [("outbox", "1")]
    assert event.MessageExpiryInterval == 7 * 24 * 3600
    assert not hasattr(alert, "MessageExpiryInterval")
    assert pack.ContentType == "application/senml+json"
    assert pack.MessageExpiryInterval == 900
    assert not hasattr(pack, "UserProperty")


def test_a_cleared_alert_leaves_no_retained_message(outbox: Outbox, broker: Broker) -> None:
    outbox.put("alerts/cold", b'{"kind":"cold"}', retain=True)
    outbox.put("alerts/hot", b'{"kind":"hot"}', retain=True)
    outbox.put("alerts/cold", b"", retain=True)
    assert outbox.empties()
    assert retained(broker) == {"alerts/hot": {"kind": "hot"}}


def test_the_status_is_online_while_it_lives_and_offline_after_goodbye(outbox: Outbox, broker: Broker) -> None:
    outbox.publisher.offer(messages.status(Heartbeat(START, "0.1.0", 1.0, clock_trusted=True)))
    assert outbox.until(lambda: outbox.publisher.way().delivered_at)
    assert retained(broker)["status"]["state"] == "online"
    outbox.publisher.close()
    assert until(lambda: retained(broker)["status"] == {"state": "offline"})


def test_after_a_break_the_status_is_online_again_without_a_new_one(outbox: Outbox, broker: Broker) -> None:
    outbox.publisher.offer(messages.status(Heartbeat(START, "0.1.0", 1.0, clock_trusted=True)))
    assert outbox.until(lambda: outbox.publisher.way().delivered_at)
    broker.stop()
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    broker.start()
    assert outbox.until(lambda: retained(broker).get("status", {}).get("state") == "online")


def test_a_broker_that_is_not_there_yet_is_waited_for_without_blocking(make_broker: Make) -> None:
    broker = make_broker()
    outbox = Outbox(a_publisher(broker))
    numbers = [outbox.put(f"alerts/{kind}", retain=True) for kind in ("cold", "hot", "sun")]
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    assert outbox.publisher.way().line == f"Nothing listens at 127.0.0.1:{broker.port}."
    assert outbox.sent == []
    broker.start()
    assert outbox.empties()
    assert outbox.sent == numbers
    outbox.publisher.close()


@pytest.mark.parametrize("ends", ["stop", "kill"])
@pytest.mark.parametrize("forgets", [False, True])
def test_nothing_is_lost_and_all_is_in_order_when_the_broker_goes_and_comes(
    ends: str, forgets: bool, broker: Broker, outbox: Outbox, listener: Listener
) -> None:
    before = put_events(outbox, 10)
    outbox.put("alerts/cold", b'{"kind":"cold"}', retain=True)
    assert outbox.until(lambda: len(outbox.sent) >= 3)
    getattr(broker, ends)()
    if forgets:
        broker.forget()
    after = put_events(outbox, 10)
    outbox.put("alerts/cold", b"", retain=True)
    outbox.put("alerts/hot", b'{"kind":"hot"}', retain=True)
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    broker.start()
    assert outbox.empties()
    assert until(lambda: len(first_seen(events(listener))) == 20)
    assert first_seen(events(listener)) == before + after
    assert {topic: value for topic, value in retained(broker).items() if topic != "status"} == {
        "alerts/hot": {"kind": "hot"}
    }


def test_a_broker_that_forgot_everything_is_told_the_truth_of_all_topics(broker: Broker, outbox: Outbox) -> None:
    for topic in ("alerts/cold", "alerts/hot", "jars/comfrey-3"):
        outbox.put(topic, b'{"is":"there"}', retain=True)
    outbox.put("alerts/hot", b"", retain=True)
    assert outbox.empties()
    broker.kill()
    broker.forget()
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    broker.start()
    assert outbox.until(lambda: set(retained(broker)) == {"alerts/cold", "jars/comfrey-3"})


def test_the_broker_is_asked_for_a_second_less_than_the_keepalive_so_that_two_are_kept(
    broker: Broker, outbox: Outbox
) -> None:
    """The client looks once a second, and ends a silent connection at its second look after a keepalive."""
    outbox.put("alerts/cold", retain=True)
    assert outbox.empties()
    assert re.search(r" as jarside-kitchen \(p5, c0, k4, ", broker.log()), "the settings say 5 s"


def test_a_frozen_broker_is_noticed_and_nothing_is_lost(broker: Broker, outbox: Outbox, listener: Listener) -> None:
    """A half-open link: the connection stands, and nothing answers."""
    numbers = put_events(outbox, 3)
    assert outbox.empties()
    broker.freeze()
    numbers += put_events(outbox, 3)
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    broker.thaw()
    assert outbox.empties()
    assert until(lambda: len(first_seen(events(listener))) == 6)
    assert until(lambda: first_seen(events(listener)) == numbers)


@pytest.mark.long
def test_a_frozen_broker_is_noticed_even_when_there_is_nothing_to_send(broker: Broker, outbox: Outbox) -> None:
    outbox.put("alerts/cold", retain=True)
    assert outbox.empties()
    broker.freeze()
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    broker.thaw()


def test_events_that_nobody_hears_wait_for_a_listener_and_hold_up_nothing(broker: Broker, outbox: Outbox) -> None:
    """The broker does not know this station: perhaps it has lost its memory, and who listens is on the way back."""
    numbers = put_events(outbox, 3)
    state = outbox.put("alerts/cold", retain=True)
    assert outbox.until(lambda: outbox.sent == [state])
    listener = Listener(broker).ready()
    assert outbox.empties()
    assert until(lambda: first_seen(events(listener)) == numbers)
    listener.close()


def test_a_callback_that_raises_does_not_stop_delivery(
    broker: Broker, outbox: Outbox, listener: Listener, monkeypatch: pytest.MonkeyPatch
) -> None:
    numbers = put_events(outbox, 5)
    real, raised = outbox.publisher.answered, []

    def fails_now_and_then(*arguments: object) -> None:
        if len(raised) < 3:
            raised.append(arguments)
            raise RuntimeError("a fault in a callback")
        real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(outbox.publisher, "answered", fails_now_and_then)
    assert outbox.empties()
    assert len(raised) == 3
    assert outbox.sent == numbers
    assert until(lambda: first_seen(events(listener)) == numbers)


@pytest.mark.parametrize("callback", ["stands", "ended", "answered", "failed"])
def test_whichever_callback_raises_it_is_got_over(
    callback: str, broker: Broker, outbox: Outbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, raised = getattr(outbox.publisher, callback), []

    def fails_once(*arguments: object) -> None:
        if not raised:
            raised.append(arguments)
            raise RuntimeError("a fault in a callback")
        real(*arguments)

    monkeypatch.setattr(outbox.publisher, callback, fails_once)
    outbox.put("alerts/cold", retain=True)
    assert outbox.until(lambda: raised or not outbox.waiting)
    broker.kill()
    assert outbox.until(lambda: raised)
    broker.start()
    outbox.put("alerts/cold", retain=True)
    assert outbox.empties()
    assert len(raised) == 1


def test_a_day_without_a_broker_keeps_little_in_memory_and_only_the_latest_reading(
    make_broker: Make,
) -> None:
    broker = make_broker()
    outbox = Outbox(a_publisher(broker))
    most = 0
    for minute in range(1440):
        reading = messages.readings(a_reading(minute), "kitchen")
        assert reading is not None
        outbox.publisher.offer(reading)
        if minute % 10 == 0:
            outbox.put("events", str(minute).encode())
        outbox.step()
        most = max(most, outbox.publisher.held)
    assert most <= 65  # what the publisher holds of the outbox, and one reading
    broker.start()
    listener = Listener(broker).ready()
    assert outbox.empties()
    assert until(lambda: len(listener.payloads("events")) >= 144)
    packs = listener.payloads("readings")
    assert len(packs) == 1
    assert json.loads(packs[0])[0]["bt"] == int((START + timedelta(minutes=1439)).timestamp())
    assert first_seen([int(one) for one in listener.payloads("events")]) == list(range(0, 1440, 10))
    listener.close()
    outbox.publisher.close()


def test_commands_are_heard_only_when_they_are_turned_on(broker: Broker) -> None:
    publishers = [a_publisher(broker), a_publisher(broker, commands=True)]
    heard = []
    for publisher in publishers:
        outbox = Outbox(publisher)
        outbox.put("alerts/cold", retain=True)
        assert outbox.empties()
        send_commands(
            broker,
            b'{"alert":"cold-1","do":"acknowledge"}',
            b'{"alert":"hot-1","do":"later","hours":2}',
            b'{"alert":"hot-1","do":"later","hours":1000}',
            b'{"alert":"hot-1","do":"explode"}',
            b"\xff\xfe",
            bytes(5000),
        )
        outbox.put("alerts/cold", retain=True)
        assert outbox.empties(), "the broker answers in order: what was sent before has been heard or never will be"
        heard.append(publisher.answers())
        publisher.close()
    assert heard[0] == ()
    acknowledged, put_off = heard[1]
    assert (acknowledged.alert_id, acknowledged.until_at) == ("cold-1", None)
    assert put_off.alert_id == "hot-1"
    assert put_off.until_at == put_off.at + timedelta(hours=2)


def written_examples(broker: Broker) -> list[list[str]]:
    """The commands that the settings file shows, with the name, password and port of this broker."""
    shown = re.findall(r"mosquitto_pub (.+?) \\\n#\s+(-m .+)", TEMPLATE)
    rooms = [f"mosquitto_pub {first} {second}".replace("jarside/shelf/", ROOT) for first, second in shown]
    return [[*shlex.split(one.replace("PASSWORD", "wet-hands")), "-p", str(broker.port), "-q", "1"] for one in rooms]


def test_the_commands_that_the_settings_file_shows_are_understood(broker: Broker) -> None:
    outbox = Outbox(a_publisher(broker, commands=True))
    outbox.put("alerts/cold", retain=True)
    assert outbox.empties()
    for command in written_examples(broker):
        subprocess.run(command, check=True, timeout=30)
    heard: list[Answer] = []
    assert outbox.until(lambda: heard.extend(outbox.publisher.answers()) or len(heard) == 2)
    assert [(one.alert_id, one.until_at) for one in heard] == [
        ("cold-1f3a9c02-5400", None),
        ("cold-1f3a9c02-5400", heard[1].at + timedelta(hours=2)),
    ]
    assert outbox.publisher.way().remedy == ""
    outbox.publisher.close()


def test_a_command_that_is_not_understood_is_said_with_how_to_write_one(broker: Broker) -> None:
    outbox = Outbox(a_publisher(broker, commands=True))
    outbox.put("alerts/cold", retain=True)
    assert outbox.empties()
    send_commands(broker, b"ack cold")
    assert outbox.until(lambda: outbox.publisher.way().remedy)
    way = outbox.publisher.way()
    assert (way.state, way.line.endswith(". A command was not understood.")) == (WayState.WORKING, True)
    shown = re.search(r"\{.*\}", way.remedy)
    assert shown is not None
    assert answer_of(shown[0].encode(), START) == Answer("ID", START)
    outbox.publisher.close()


def test_commands_that_were_turned_off_are_not_heard_through_the_session_that_the_broker_kept(broker: Broker) -> None:
    """The broker remembers for a week what a station of this name listened to."""
    for commands in (True, False):
        outbox = Outbox(a_publisher(broker, commands=commands))
        outbox.put("alerts/cold", retain=True)
        assert outbox.empties()
        if not commands:
            send_commands(broker, b'{"alert":"cold-1","do":"acknowledge"}')
            outbox.put("alerts/cold", retain=True)
            assert outbox.empties(), "the broker answers in order"
        assert outbox.publisher.answers() == ()
        outbox.publisher.close()


def send_commands(broker: Broker, *payloads: bytes) -> None:
    from paho.mqtt import publish
    from paho.mqtt.enums import MQTTProtocolVersion

    publish.multiple(
        [{"topic": "jarside/kitchen/command", "payload": payload, "qos": 1} for payload in payloads],
        "127.0.0.1",
        broker.port,
        auth={"username": "jarside-remote", "password": "wet-hands"},
        protocol=MQTTProtocolVersion.MQTTv5,
    )


def test_goodbye_does_not_wait_for_a_frozen_broker(broker: Broker, outbox: Outbox) -> None:
    outbox.put("alerts/cold", retain=True)
    assert outbox.empties()
    broker.freeze()
    goodbye = threading.Thread(target=outbox.publisher.close, daemon=True)
    goodbye.start()
    assert until(lambda: not goodbye.is_alive())
    broker.thaw()


def test_nothing_happens_after_goodbye(broker: Broker, outbox: Outbox, listener: Listener) -> None:
    outbox.publisher.close()
    outbox.publisher.close()
    put_events(outbox, 1)
    outbox.until(lambda: False, 0.3)
    assert listener.heard == []
    assert isinstance(outbox.publisher, MqttPublisher)
