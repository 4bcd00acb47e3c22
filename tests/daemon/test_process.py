"""The station as a process: what its service manager hears, and what is left after it was ended or killed."""

import json
import os
import random
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from sim.clocks import ManualClock
from station.cli.frame import App
from station.cli.watch_command import beginning, run
from station.clock import SystemClock
from station.domain.way import WayState
from station.notify import PeoplePublisher
from station.settings_file import load
from station.store.shelf_reader import ShelfReader
from tests.builders import START
from tests.daemon.broker import PASSWORDS, Broker, until
from tests.daemon.child import minute_of
from tests.daemon.listener import Listener
from tests.daemon.world import a_stand
from tests.left_open import closed_after

SPEED = 600.0
"""Simulated seconds a second: a minute takes a tenth of a second."""
LONG_S = 59.0
"""Only what hangs takes so long, however busy the machine is; a real minute is longer."""


@contextmanager
def a_station_process(
    folder: Path, boots: int = 0, speed: float = SPEED, **environment: str
) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-m", "tests.daemon.child", str(folder), str(speed), str(boots)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, **environment}) as child:
        try:
            yield child
        finally:
            if child.poll() is None:
                child.kill()


@contextmanager
def a_manager(folder: Path) -> Iterator[socket.socket]:
    """What a service manager listens on."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(folder / "notify"))
        manager.settimeout(LONG_S)
        yield manager


def told_to(manager: socket.socket) -> dict[str, str]:
    return {"NOTIFY_SOCKET": str(manager.getsockname())}


def kept_minutes(child: subprocess.Popen[str], count: int) -> list[str]:
    """Wait until the station has said that it kept this many minutes; each is its boot and its millisecond."""
    assert child.stdout is not None
    return [child.stdout.readline().strip() for _ in range(count)]


def the_rest(child: subprocess.Popen[str]) -> list[str]:
    """What it said until it ended; its last line may be cut short."""
    assert child.stdout is not None
    return [line.strip() for line in child.stdout if line.endswith("\n")]


def minutes_in(folder: Path) -> list[str]:
    readings = ShelfReader(folder / "shelf.db").readings(datetime.fromtimestamp(0, UTC))
    return [minute_of(reading) for reading in readings]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_with_the_last_full_minute_kept(tmp_path: Path, number: signal.Signals) -> None:
    with a_station_process(tmp_path) as child:
        said = kept_minutes(child, 5)
        child.send_signal(number)
        assert child.wait(LONG_S) == 0
        said += the_rest(child)
    assert minutes_in(tmp_path) == said


def test_a_signal_does_not_wait_for_the_end_of_the_minute(tmp_path: Path) -> None:
    with a_manager(tmp_path) as manager, a_station_process(tmp_path, speed=1.0, **told_to(manager)) as child:
        assert manager.recv(4096).startswith(b"READY=1")
        child.terminate()
        assert child.wait(LONG_S) == 0
        assert the_rest(child) == []
    assert minutes_in(tmp_path) == []


class Told:
    """A station that is told to end while it starts."""

    def __init__(self) -> None:
        self.calls: list[str] = []

    def start(self) -> None:
        signal.raise_signal(signal.SIGTERM)
        self.calls.append("started")

    def stop(self) -> None:
        self.calls.append("stop")

    def run(self) -> None:
        self.calls.append("ran")

    def close(self) -> None:
        self.calls.append("closed")


def test_a_signal_while_it_starts_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NOTIFY_SOCKET", raising=False)
    before = {number: signal.signal(number, lambda *_: None) for number in (signal.SIGTERM, signal.SIGINT)}
    station = Told()
    try:
        run(station)  # type: ignore[arg-type]
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    assert station.calls == ["stop", "started", "ran", "closed"]


def test_kill_nine_at_any_moment_keeps_every_minute_it_had_spoken_of(tmp_path: Path) -> None:
    chance = random.Random(11)
    said: list[str] = []
    for boots in range(6):
        with a_station_process(tmp_path, boots) as child:
            said += kept_minutes(child, chance.randint(1, 6))
            child.kill()
            child.wait(LONG_S)
            said += the_rest(child)
    kept = minutes_in(tmp_path)
    assert set(said) <= set(kept)
    assert len(kept) == len(set(kept)) <= len(said) + 6
    assert ShelfReader(tmp_path / "shelf.db").count() == len(kept)


def test_the_service_manager_hears_ready_then_a_sign_of_life_every_minute_then_goodbye(tmp_path: Path) -> None:
    with a_manager(tmp_path) as manager, a_station_process(tmp_path, **told_to(manager)) as child:
        heard = [manager.recv(4096).decode() for _ in range(4)]
        child.terminate()
        assert child.wait(LONG_S) == 0
        while "STOPPING" not in heard[-1]:
            heard.append(manager.recv(4096).decode())
    assert heard[0].startswith("READY=1\nSTATUS=")
    assert all(line.startswith("WATCHDOG=1\nSTATUS=") for line in heard[1:-1])
    assert heard[-1] == "STOPPING=1"


def test_nobody_is_told_where_there_is_no_service_manager(monkeypatch: pytest.MonkeyPatch) -> None:
    from station.health import sd_notify

    monkeypatch.delenv("NOTIFY_SOCKET", raising=False)
    assert not sd_notify("READY=1")


def test_the_watch_itself_is_online_on_the_broker_and_offline_when_it_ends(broker: Broker, tmp_path: Path) -> None:
    """The command as a service manager runs it, with no parts: the first minute is not waited for."""
    (tmp_path / "password").write_text(PASSWORDS["jarside"])
    (tmp_path / "jarside.toml").write_text(
        f'station = "kitchen"\n[mqtt]\nhost = "127.0.0.1"\nport = {broker.port}\nusername = "jarside"\n'
        f'password_file = "{tmp_path}/password"\n[[notify]]\nname = "phone"\naddress = "json://127.0.0.1:9"\n'
    )
    listener = Listener(broker).ready()
    command = [sys.executable, "-m", "station", "--config", str(tmp_path / "jarside.toml"), "--data", str(tmp_path)]
    with subprocess.Popen([*command, "watch"]) as watch:
        try:
            assert until(lambda: len(listener.payloads("status")) == 1)
            watch.terminate()
            assert watch.wait(LONG_S) == 0
        finally:
            watch.kill()
    assert until(lambda: len(listener.payloads("status")) == 2)
    assert [json.loads(payload)["state"] for payload in listener.payloads("status")] == ["online", "offline"]
    assert [way.name for way in ShelfReader(tmp_path / "shelf.db").ways()] == ["broker", "phone"]
    listener.close()


def test_a_bad_address_does_not_keep_the_watch_from_starting_and_the_status_says_it(tmp_path: Path) -> None:
    """It is said although nothing has been sent there; a station that is told to end keeps how its ways are."""
    pytest.importorskip("apprise")
    config = tmp_path / "jarside.toml"
    config.write_text('[[notify]]\nname = "phone"\naddress = "nonsense://wet-leaves"\n')
    clock, notes = ManualClock(START), closed_after(PeoplePublisher(load(config).notify, "Jarside", SystemClock()))
    stand = a_stand(tmp_path, clock=clock, people=notes, notify=load(config).notify)
    assert until(lambda: notes.acknowledged() or notes.checked)
    stand.live(1).end()
    (way,) = ShelfReader(tmp_path / "shelf.db").ways()
    assert (way.state, way.line) == (WayState.TROUBLE, "The address of phone is not understood.")


def test_the_watch_names_the_sensors_that_it_measures_with(tmp_path: Path) -> None:
    config = tmp_path / "jarside.toml"
    config.write_text('[[sensors]]\nname = "shelf"\npart = "bh1750"\n')
    assert beginning(App(config, tmp_path)) == f"Measuring into {tmp_path}; sensors: shelf"


def test_a_watch_without_sensors_does_not_start_in_silence(tmp_path: Path) -> None:
    (tmp_path / "jarside.toml").touch()
    environment = {**os.environ, "JARSIDE_CONFIG": str(tmp_path / "jarside.toml")}
    command = [sys.executable, "-m", "station", "--data", str(tmp_path), "watch"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as watch:
        try:
            assert watch.stdout is not None
            said = watch.stdout.readline()
        finally:
            watch.kill()
    where = "none yet, name them under [[sensors]] in"
    assert said == f"Measuring into {tmp_path}; sensors: {where} {tmp_path}/jarside.toml\n"


MADE = """
import sys
from pathlib import Path
from sim.clocks import ManualClock
from station.cli.frame import App
from station.cli.watch_command import brought_up_to_date
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog

app = App(None, Path(sys.argv[1]))
brought_up_to_date(app)
with app.notebook() as notebook, ShelfLog.open(app.shelf_file):
    print(len(notebook.jars()), *sorted(sys.modules))
"""


def test_files_are_made_without_what_a_station_need_not_carry_for_good(tmp_path: Path) -> None:
    (tmp_path / "jarside.toml").write_text('station = "bench"\n')
    environment = {**os.environ, "JARSIDE_CONFIG": str(tmp_path / "jarside.toml")}
    said = subprocess.run([sys.executable, "-c", MADE, tmp_path], env=environment, capture_output=True, check=True)
    jars, *loaded = said.stdout.decode().split()
    assert jars == "0"
    assert "station.store.shelf_log" in loaded
    assert {"sqlite_utils", "difflib", "platformdirs", "apprise", "paho.mqtt.client"}.isdisjoint(loaded)
    assert {"station.domain.bottling", "station.domain.trials", "station.domain.rounds"}.isdisjoint(loaded)


def test_files_that_cannot_be_made_are_explained_by_the_station_itself(tmp_path: Path) -> None:
    (tmp_path / "notebook.db").write_text("no database, but somebody's words")
    command = [sys.executable, "-m", "station", "--data", tmp_path, "watch"]
    said = subprocess.run(command, capture_output=True, text=True, timeout=LONG_S, check=False)
    assert said.returncode == 1
    assert said.stderr.startswith("jarside: ")
    assert "is not a database" in said.stderr
    assert said.stderr.count("\n") == 1
