"""A whole station and a real broker: a simulated day of mishaps, faults that a person can put right, and the sun."""

import json
import random
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.clocks import PacedClock
from station.clock import SystemClock
from station.domain.alert import AlertKind
from station.domain.guidance import Limits
from station.domain.readings import Miss, Sample
from station.mqtt import CAPACITY
from station.settings_file import load
from station.store.notebook import Notebook
from tests.builders import START
from tests.cli.shell import jarside
from tests.daemon.broker import PASSWORDS, Broker, until
from tests.daemon.listener import Listener, a_publisher, retained
from tests.daemon.test_mqtt_day import MISHAPS, heard_ids, kept_alerts, with_session
from tests.daemon.world import Script, Stand, a_stand, steady
from tests.dashboard.reading import read
from tests.dashboard.world import Shelf

Make = Callable[..., Broker]
DAY = 1440


def unruly(boot_s: float) -> Sample | Miss:
    """Cold every other eighty minutes, and silent for ten minutes every two hours."""
    minute = boot_s / 60.0
    if minute % 120.0 >= 110.0:
        return Miss("shelf", "no answer")
    return steady(12.0 if minute % 160.0 >= 80.0 else 20.0)(boot_s)


class Mishaps:
    """What befalls the broker in the course of a day: it is away at first, and then again and again for a while."""

    def __init__(self, broker: Broker, chance: random.Random) -> None:
        self._broker = broker
        self._chance = chance
        self._mends = {100: ""}
        for minute in range(160, DAY - 200, 130):
            self._mends[minute + chance.randint(10, 60)] = chance.choice(MISHAPS)
        self._begins = {minute - chance.randint(3, 9): name for minute, name in self._mends.items() if name}

    def go_on(self, minute: int) -> None:
        if (name := self._begins.get(minute)) is not None:
            self._begin(name)
        if (name := self._mends.get(minute)) is not None:
            self._broker.thaw() if name == "freeze" else self._broker.start()

    def _begin(self, name: str) -> None:
        if name == "freeze":
            self._broker.freeze()
            return
        getattr(self._broker, name.partition(" ")[0])()
        if name.endswith("forget"):
            self._broker.forget()


def ids_of(stand: Stand) -> list[str]:
    from station import messages

    changes = [change for judged in stand.judged for change in judged.changes]
    return [messages.event_id(one.alert, one.happening, one.at) for one in changes]


def drained(stand: Stand) -> bool:
    """Live on until nothing waits any more; half a minute at most."""
    return until(lambda: stand.live(1).log.pending() == (), 30.0)


@pytest.mark.parametrize("seed", [1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 13))])
def test_a_day_of_mishaps_loses_no_change_and_ends_at_the_truth(seed: int, make_broker: Make, tmp_path: Path) -> None:
    chance = random.Random(seed)
    broker = make_broker()
    listener = with_session(broker)
    stand = a_stand(tmp_path, unruly, publisher=a_publisher(broker), limits={"silent_min": 2})
    mishaps = Mishaps(broker, chance)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    for minute in range(DAY):
        mishaps.go_on(minute)
        stand.live(1)
        time.sleep(chance.uniform(0.0, 0.01))
    assert len(ids_of(stand)) >= 40
    assert drained(stand), stand.log.pending()
    told = ids_of(stand)
    assert until(lambda: set(heard_ids(listener)) >= set(told)), set(told) - set(heard_ids(listener))
    assert heard_ids(listener) == told
    truth = {f"alerts/{alert.kind}": alert.id for alert in stand.station.memory.alerts if not alert.jar_id}
    assert until(lambda: {topic: of for topic, of in kept_alerts(broker).items() if topic.count("/") == 1} == truth)
    now = retained(broker)
    assert now["status"]["state"] == "online"
    assert now["jars/comfrey-1"]["plant"] == "comfrey"
    listener.close()
    stand.end()


def settings_for(broker: Broker, folder: Path, **changes: Any) -> Path:
    known = {"host": "127.0.0.1", "port": broker.port, "username": "jarside"} | changes
    lines = [f"{key} = {json.dumps(value if isinstance(value, int) else str(value))}" for key, value in known.items()]
    path = folder / "jarside.toml"
    path.write_text("\n".join(['station = "kitchen"', "[mqtt]", *lines]) + "\n", encoding="utf-8")
    return path


def wrong_password(broker: Broker, folder: Path) -> dict[str, Any]:
    (folder / "wrong").write_text("wrong-password")
    broker.start()
    return {"password_file": folder / "wrong"}


def no_name(broker: Broker, folder: Path) -> dict[str, Any]:
    """The top-level name `invalid` never resolves (RFC 6761, section 6.4)."""
    return {"host": "broker.invalid"}


def refused_topic(broker: Broker, folder: Path) -> dict[str, Any]:
    rules = broker.folder / "jarside.acl"
    rules.write_text(rules.read_text().replace("topic write jarside/#", "topic write jarside/+/alerts/#"))
    broker.start()
    return {}


def wrong_authority(broker: Broker, folder: Path) -> dict[str, Any]:
    for name in ("broker", "other"):
        subject = ["-subj", "/CN=localhost", "-addext", "subjectAltName=IP:127.0.0.1"]
        files = ["-keyout", str(broker.folder / f"{name}.key"), "-out", str(broker.folder / f"{name}.crt")]
        command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", *subject, *files]
        subprocess.run(command, check=True, capture_output=True)
    broker.with_tls(broker.folder / "broker.crt", broker.folder / "broker.key").start()
    return {"port": broker.tls_port, "ca_file": broker.folder / "other.crt"}


def too_long(broker: Broker, folder: Path) -> dict[str, Any]:
    broker.start()
    return {}


@pytest.mark.parametrize(
    ("fault", "more", "line"),
    [
        (wrong_password, "", "refuses this user name and password."),
        (no_name, "", "does not resolve."),
        (refused_topic, "", "lets the user jarside write nothing to jarside/kitchen/"),
        (wrong_authority, "", "is not signed by an authority that is trusted here."),
        (too_long, "message_size_limit 250\n", "was given up: it is longer than the broker takes."),
    ],
)
def test_a_fault_of_the_way_is_one_clear_line_in_the_status_and_on_the_page_and_the_station_goes_on(
    fault: Callable[[Broker, Path], dict[str, Any]],
    more: str,
    line: str,
    make_broker: Make,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    broker = make_broker(more)
    changes = fault(broker, tmp_path)
    config = settings_for(broker, tmp_path, **changes)
    stand = a_stand(tmp_path, unruly, publisher=a_publisher(broker, **changes), limits={"silent_min": 2}).live(125)
    monkeypatch.setattr("station.cli.status_command.now", stand.clock.now)  # of a stopped station nothing is known

    def said() -> str:
        stand.live(1)
        return jarside("status", data=tmp_path, config=config).out

    def shown() -> str:
        stand.live(1)
        page = read(Shelf(tmp_path, stand.clock.now(), load(config)), "/alerts").text
        return page.partition("Ways to reach you Broker trouble ")[2]

    assert until(lambda: line in said()), said()
    way = next(text for text in said().splitlines() if text.startswith("broker"))
    assert way.startswith("broker        trouble: ")
    assert until(lambda: line in shown()), shown()
    assert not any(password in said() for password in (*PASSWORDS.values(), "wrong-password"))
    before = len(stand.judged)
    assert len(stand.live(5).judged) == before + 5
    stand.end()


def test_a_day_without_a_broker_keeps_every_change_and_little_in_memory(make_broker: Make, tmp_path: Path) -> None:
    publisher = a_publisher(make_broker())
    stand = a_stand(tmp_path, unruly, publisher=publisher, limits={"silent_min": 2}).live(DAY)
    assert stand.log.waiting() == {None: len(ids_of(stand))}
    assert len(ids_of(stand)) >= 40
    topics = 2 + len(AlertKind)  # status and reading, and a latest value for each alert
    assert publisher.held <= CAPACITY + topics
    assert stand.log.pending(1000)[-1].topic == "events"
    stand.end()


SUN_BEGINS_S = 65.0
SPEED = 15.0


def sunny(boot_s: float) -> Sample:
    return Sample("shelf", 20.0 + 0.1 * (int(boot_s / 10) % 2), 55.0, 18_400.0 if boot_s >= SUN_BEGINS_S else 300.0)


def test_the_sun_is_acknowledged_by_the_broker_within_its_hold_and_a_minute(broker: Broker, tmp_path: Path) -> None:
    """The clock runs at fifteen times the real one, so that what the machine takes counts too."""
    hold_s = 300.0  # design: raised after five minutes
    assert Limits().sun_lx < 18_400.0
    listener = Listener(broker).ready()
    clock = PacedClock(START, SystemClock(), SPEED)
    publisher = a_publisher(broker)
    stand = a_stand(tmp_path, sunny, clock=clock, publisher=publisher)
    acknowledged_s: list[float] = []
    taken = publisher.acknowledged

    def watched() -> tuple[int, ...]:
        numbers = taken()
        acknowledged_s.extend(clock.boottime_s() for _ in numbers)
        return numbers

    publisher.acknowledged = watched  # type: ignore[method-assign]
    while not acknowledged_s and clock.boottime_s() < 900.0:
        stand.live(1)
    assert "18,400 lx" in json.loads(listener.payloads("events")[0])["text"]
    assert acknowledged_s[0] - SUN_BEGINS_S <= hold_s + 60.0
    listener.close()
    stand.end()


@pytest.fixture
def noisy() -> Script:
    """Three in ten reads fail, and the temperature is within 0.3 °C of the limit."""
    chance = random.Random(15_6)

    def script(boot_s: float) -> Sample | Miss:
        if chance.random() < 0.3:
            return Miss("shelf", "no answer")
        return Sample("shelf", round(15.6 + chance.uniform(-0.3, 0.3), 1), 55.0 + chance.uniform(-1.0, 1.0), 100.0)

    return script


def test_a_day_of_noise_on_the_limit_and_bad_reads_raises_once_at_most(noisy: Script, tmp_path: Path) -> None:
    stand = a_stand(tmp_path, noisy)
    with stand.log.batch():
        stand.live(DAY)
    raised = [change for judged in stand.judged for change in judged.changes if change.happening == "raised"]
    assert len(raised) <= 1
    readings = [judged.minute.reading for judged in stand.judged if judged.minute.reading]
    missed = sum(reading.missed for reading in readings)
    assert 0.25 < missed / (missed + sum(reading.good for reading in readings)) < 0.35
    assert {reading.temp_c < 15.6 for reading in readings if reading.temp_c is not None} == {True, False}
    stand.end()
