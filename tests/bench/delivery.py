"""How long an alert takes from the commit of its minute to the broker's acknowledgement, beside a bare publish."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion, MQTTProtocolVersion

from sim.clocks import ManualClock
from sim.replay import NoSignal
from station.clock import SystemClock
from station.config import MqttSettings, Settings
from station.daemon import Station
from station.domain.way import WayState
from station.mqtt import MqttPublisher
from station.mqtt.link import Link
from station.ports import Minute, Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from tests.bench.report import Goal, Line, Report
from tests.builders import START, a_reading
from tests.daemon.broker import PASSWORDS, Broker, until
from tests.daemon.listener import KEEPALIVE_S, ROOT, STATION, Listener, Outbox, a_publisher

GOAL = Goal("at most", 50.0)
NOTICED = Goal("at most", 2.0, "ratio")
"""Two keepalives."""
PERIOD = 8
"""Minutes from one raise to the next: silent for the second half, with a limit of two minutes."""


class TimedLog(ShelfLog):
    """Notes when the commit of a minute with an alert change began."""

    begun_s = 0.0

    def commit(self, minute: Minute) -> None:
        self.begun_s = time.perf_counter()
        super().commit(minute)


class TimedPublisher(MqttPublisher):
    """Notes when the broker acknowledged a message of the outbox."""

    acknowledged_s: float | None = None

    def answered(self, link: Link, code: int) -> None:
        in_flight = self._outgoing.in_flight
        if in_flight is not None and in_flight.id:
            self.acknowledged_s = time.perf_counter()
        super().answered(link, code)


def measured(changes: int = 200) -> Report:
    """Raise and clear an alert again and again, and publish as many messages of the same length barely.

    Args:
        changes: how many alert changes are timed.
    """
    with a_broker() as broker, TemporaryDirectory() as name:
        folder = Path(name)
        listener = Listener(broker).ready()
        client = _bare_client(broker)
        alerts, bare = _timed(folder, broker, client, changes)
        client.disconnect()
        client.loop_stop()
        listener.close()
        noticed_s = _noticed_s(broker)
    return Report(
        "delivery",
        f"{changes} alert changes, each committed durably by the station and acknowledged by mosquitto on the loopback",
        "a bare paho publish of the same length at least once, in turn with the station, on the same broker",
        (
            Line("commit to acknowledgement, median", median(alerts), "ms", median(bare), GOAL),
            Line("nineteen in twenty within", quantiles(alerts, n=20)[-1], "ms", quantiles(bare, n=20)[-1]),
            Line("a frozen broker is noticed after", noticed_s, "s", KEEPALIVE_S, NOTICED, "floor: the keepalive"),
        ),
    )


@contextmanager
def a_broker() -> Iterator[Broker]:
    broker = Broker().start()
    try:
        yield broker
    finally:
        broker.close()


def _timed(folder: Path, broker: Broker, client: Client, changes: int) -> tuple[list[float], list[float]]:
    password = folder / "password"
    password.write_text(PASSWORDS["jarside"])
    mqtt = MqttSettings(host="127.0.0.1", port=broker.port, username="jarside", password_file=password)
    publisher = TimedPublisher(mqtt, STATION, SystemClock())
    settings = Settings.model_validate({"station": STATION, "limits": {"silent_min": 2}})
    alerts: list[float] = []
    bare: list[float] = []
    with Notebook.open(folder / "notebook.db") as notebook, TimedLog.open(folder / "shelf.db") as log:
        rig = Rig(ManualClock(START), (), publisher, NoSignal())
        station = Station(settings, rig, log, notebook)
        station.start()
        minute = 0
        while len(alerts) < changes:
            minute += 1
            silent = minute % PERIOD >= PERIOD / 2
            values = {"rh_pct": None, "light_lx": None} if silent else {}
            reading = a_reading(
                minute, None if silent else 20.0, measured_at=START + timedelta(minutes=minute), **values
            )
            publisher.acknowledged_s = None
            if station.take(reading).changes:
                if not until(lambda: publisher.acknowledged_s is not None):
                    raise RuntimeError(f"not acknowledged: {publisher.way().line}")
                assert publisher.acknowledged_s is not None
                alerts.append((publisher.acknowledged_s - log.begun_s) * 1000.0)
                bare.append(_bare_publish_ms(client))
        station.close()
    return alerts, bare


def _noticed_s(broker: Broker) -> float:
    """Return how long a connection stands on which nothing answers, before it is called trouble."""
    outbox = Outbox(a_publisher(broker))
    outbox.put("alerts/cold", retain=True)
    if not outbox.empties():
        raise RuntimeError(f"not delivered: {outbox.publisher.way().line}")
    broker.freeze()
    start_s = time.perf_counter()
    try:
        if not outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE):
            raise RuntimeError("the frozen broker was never noticed")
        return time.perf_counter() - start_s
    finally:
        broker.thaw()
        outbox.publisher.close()


def _bare_client(broker: Broker) -> Client:
    client = Client(CallbackAPIVersion.VERSION2, "bare", protocol=MQTTProtocolVersion.MQTTv5)
    client.username_pw_set("jarside", PASSWORDS["jarside"])
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    return client


def _bare_publish_ms(client: Client) -> float:
    start_s = time.perf_counter()
    client.publish(f"{ROOT}events", bytes(400), qos=1).wait_for_publish(10.0)
    return (time.perf_counter() - start_s) * 1000.0
