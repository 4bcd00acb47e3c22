"""`kill -9` of a station between commit, publish and mark: nothing is lost or made up, repeats share an id."""

import json
import random
import sqlite3
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from station import messages
from station.domain.alert import Alert
from station.store.shelf_reader import ShelfReader
from tests.daemon.broker import PASSWORDS, Broker, until
from tests.daemon.listener import Listener
from tests.daemon.test_mqtt_day import kept_alerts

SPEED = 6000.0
"""Simulated seconds a second: a minute takes ten milliseconds, and an alert is raised or cleared every forty."""


@contextmanager
def a_sender(folder: Path, broker: Broker, boots: int) -> Iterator[subprocess.Popen[str]]:
    password = folder / "password"
    password.write_text(PASSWORDS["jarside"])
    words = [str(folder), str(broker.port), str(password), str(SPEED), str(boots)]
    command = [sys.executable, "-m", "tests.daemon.sender", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
        try:
            yield child
        finally:
            if child.poll() is None:
                child.kill()


def live_and_die(folder: Path, broker: Broker, boots: int, chance: random.Random) -> None:
    """Let a station live for up to half a second after its first minute, most often to just after a change."""
    with a_sender(folder, broker, boots) as child:
        assert child.stdout is not None
        assert child.stdout.readline()
        if chance.random() < 0.6:
            _until_a_change(child)
            until(lambda: False, chance.uniform(0.0, 0.01))
        else:
            until(lambda: False, chance.uniform(0.0, 0.5))
        child.kill()
        child.wait(5.0)


def _until_a_change(child: "subprocess.Popen[str]") -> None:
    assert child.stdout is not None
    for line in child.stdout:
        if line.strip() != "0":
            return


def waiting(folder: Path) -> int:
    with closing(sqlite3.connect(folder / "shelf.db")) as connection:
        return int(connection.execute("SELECT count(*) FROM outbox").fetchone()[0])


def true_ids(alert: Alert) -> list[str]:
    """What was told of an alert that stood too short for two reminders: it reminds if it was last told before."""
    reminded_at = alert.notified_at if alert.notified_at and alert.notified_at > alert.raised_at else None
    moments = (("raised", alert.raised_at), ("reminded", reminded_at), ("cleared", alert.cleared_at))
    return [messages.event_id(alert, happening, at) for happening, at in moments if at is not None]


@pytest.mark.parametrize("moments", [8, pytest.param(200, marks=pytest.mark.long)])
def test_killed_at_random_moments_it_loses_nothing(moments: int, broker: Broker, tmp_path: Path) -> None:
    chance = random.Random(moments)
    listener = Listener(broker).ready()
    for boots in range(moments):
        live_and_die(tmp_path, broker, boots, chance)
    with a_sender(tmp_path, broker, moments) as child:
        assert child.stdout is not None
        assert child.stdout.readline()
        assert until(lambda: waiting(tmp_path) <= 2, 60.0)
        child.terminate()
        child.stdout.read()
        assert child.wait(10.0) == 0
    assert waiting(tmp_path) <= 2
    check(tmp_path, broker, listener)
    listener.close()


def check(folder: Path, broker: Broker, listener: Listener) -> None:
    alerts = ShelfReader(folder / "shelf.db").alerts(since_at=datetime.fromtimestamp(0, UTC), limit=100_000)
    expected = {one for alert in alerts for one in true_ids(alert)}
    left = waiting(folder)
    assert until(lambda: len({_id(one) for one in listener.payloads("events")}) >= len(expected) - left)
    heard = listener.payloads("events")
    payloads = defaultdict(set)
    for payload in heard:
        payloads[_id(payload)].add(payload)
    assert set(payloads) <= expected, "an event was sent that was never kept"
    assert len(expected - set(payloads)) <= left, "an event was lost"
    assert all(len(same) == 1 for same in payloads.values()), "a repeat differs from what it repeats"
    first = list(dict.fromkeys(_id(payload) for payload in heard))
    for alert in alerts:
        known = [one for one in true_ids(alert) if one in payloads]
        assert [one for one in first if one in known] == known, "an alert was cleared before it was raised"
    truth = {f"alerts/{alert.kind}": alert.id for alert in alerts if alert.open}
    assert until(lambda: kept_alerts(broker) == truth)
    print(f"{len(alerts)} alerts, {len(expected)} events, {len(heard) - len(payloads)} repeats, {left} left")


def _id(payload: bytes) -> str:
    return str(json.loads(payload)["id"])
