"""The demo, watched with a client of a real broker."""

import json
import threading
from pathlib import Path

from sim.demo import Demo
from sim.scenario import load
from station.clock import SystemClock
from tests.cli.shell import jarside, refused
from tests.daemon.broker import Broker, until
from tests.daemon.listener import Listener, a_publisher


def test_a_demo_publishes_its_readings_jars_alerts_and_status(broker: Broker, tmp_path: Path) -> None:
    listener = Listener(broker).ready()
    demo = Demo(load("ordinary-kitchen"), tmp_path, SystemClock(), days=1.5, speed=3600.0)
    ready = threading.Event()
    station = threading.Thread(target=demo.run, args=(ready, None, a_publisher(broker)))
    station.start()
    try:
        assert ready.wait(120.0)
        assert until(lambda: len(listener.payloads("readings")) > 5)
        assert until(lambda: listener.payloads("jars/cleavers-1"))
        assert until(lambda: listener.payloads("alerts/cold"))
    finally:
        demo.stop()
        station.join(30.0)
    assert not station.is_alive()
    assert json.loads(listener.payloads("jars/cleavers-1")[0])["plant"] == "cleavers"
    assert until(lambda: json.loads(listener.payloads("status")[-1])["state"] == "offline")
    assert json.loads(listener.payloads("status")[0])["state"] == "online"
    listener.close()


def test_a_broker_that_cannot_be_meant_is_refused_before_the_history_is_written() -> None:
    refused(jarside("demo", "--mqtt", "127.0.0.1"), "--mqtt 127.0.0.1", "127.0.0.1:1883")
    refused(jarside("demo", "--mqtt", "127.0.0.1:sixty"), "--mqtt 127.0.0.1:sixty")
    refused(jarside("demo", "--mqtt-user", "jarside"), "no broker", "--mqtt HOST:PORT")
