"""The demo, watched with a client of a real broker."""

import json
import os
import re
import signal
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sim.clocks import ManualClock
from sim.demo import BATCHES, PACKS_AT, US, Demo
from sim.scenario import load
from station.clock import SystemClock
from tests.cli.shell import jarside, refused
from tests.daemon.broker import PASSWORDS, Broker, free_port, until
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
    refused(jarside("demo", "--mqtt", "127.0.0.1"), "--mqtt 127.0.0.1: the port is missing", "127.0.0.1:1883")
    refused(jarside("demo", "--mqtt", "127.0.0.1:sixty"), "--mqtt 127.0.0.1:sixty")
    refused(jarside("demo", "--mqtt-user", "jarside"), "no broker", "--mqtt HOST:PORT")


NOVEMBER = datetime(2026, 11, 25, 16, 0, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("name", "now_at"),
    [
        ("window-sill-may", datetime(2026, 5, 13, 5, 0, tzinfo=UTC)),
        ("ordinary-kitchen", datetime(2026, 11, 25, 16, 0, tzinfo=UTC)),
    ],
)
def test_a_shelf_of_a_time_of_year_keeps_it_and_any_other_comes_to_the_present(
    tmp_path: Path, name: str, now_at: datetime
) -> None:
    demo = Demo(load(name), tmp_path, ManualClock(NOVEMBER), days=2.0)
    demo.rig.clock.advance(2 * 86400.0)
    assert demo.rig.clock.now() == now_at


@pytest.mark.parametrize("name", ["cold-scullery-march", "window-sill-may"])
def test_a_scenario_named_after_a_month_keeps_that_month(tmp_path: Path, name: str) -> None:
    demo = Demo(load(name), tmp_path, ManualClock(NOVEMBER), days=16.0)
    end_at = demo.scenario.start_at + timedelta(days=16)
    assert f"{end_at:%B}".lower() == name.rpartition("-")[2]


@pytest.mark.parametrize("hour", range(0, 24, 5))
def test_the_growers_jars_were_packed_at_dawn_at_whatever_hour_the_demo_is_begun(tmp_path: Path, hour: int) -> None:
    demo = Demo(load("ordinary-kitchen"), tmp_path, ManualClock(NOVEMBER.replace(hour=hour)), days=21.0)
    start_at, zone = demo.scenario.start_at, demo.settings.zone
    packed = [start_at + timedelta(hours=jar.packed_after_h) for jar in demo.scenario.jars]
    assert len(packed) == len(BATCHES)
    assert {at.astimezone(zone).time() for at in packed} == {PACKS_AT}
    for at, batch in zip(packed, BATCHES, strict=True):
        assert abs(start_at + timedelta(days=21 - batch.days_ago) - at) <= timedelta(hours=12)


def test_a_demo_in_us_units_tells_its_alerts_in_them(tmp_path: Path) -> None:
    units = Demo(load("ordinary-kitchen"), tmp_path, ManualClock(NOVEMBER), units=US).settings.units
    assert (units.temperature, units.amounts) == ("F", "us")


def test_the_may_sill_shows_may_and_fahrenheit_and_says_so(tmp_path: Path) -> None:
    """The command itself, at once and for as long as it takes to look."""
    with _a_may_sill(tmp_path / "said", "--us", "--speed", "1") as (url, demo):
        page = _page(url, demo)
    said = (tmp_path / "said").read_text()
    notice = "it began on Mon 11 May 2026"
    assert notice in page
    assert notice in said
    assert re.search(r"\d\s°F", page)
    assert not re.search(r"\d\s°C", page)
    assert re.search(r"Tue\s12\sMay", page)


def test_the_page_of_a_demo_that_publishes_tells_where(broker: Broker, tmp_path: Path) -> None:
    password_file, where = tmp_path / "password", f"127.0.0.1:{broker.port}"
    password_file.write_text(PASSWORDS["jarside"])
    access = ("--mqtt-user", "jarside", "--mqtt-password-file", str(password_file))
    with _a_may_sill(tmp_path / "said", "--mqtt", where, *access) as (url, demo):
        assert until(lambda: f"Connected to {where}." in _page(f"{url}alerts", demo))


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
@pytest.mark.parametrize("running", [False, True])
def test_a_demo_leaves_nothing_behind_however_and_whenever_it_is_ended(
    tmp_path: Path, number: signal.Signals, *, running: bool
) -> None:
    """While it writes its history, which here takes minutes, and while it serves."""
    port, environment = str(free_port()), {**os.environ, "TMPDIR": str(tmp_path)}
    days = ("--days", "1" if running else "120", "--port", port)
    command = [sys.executable, "-m", "station", "demo", "--scenario", "window-sill-may", *days]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as demo:
        try:
            assert demo.stdout is not None
            assert demo.stdout.readline().endswith("days of history ...\n")
            if running:
                assert until(lambda: _page(f"http://127.0.0.1:{port}/", demo))
            else:
                assert until(lambda: list(tmp_path.glob("jarside-demo-*/shelf.db")))
            demo.send_signal(number)
            _, complaint = demo.communicate(timeout=30.0)
        finally:
            demo.kill()
    assert (demo.returncode, complaint) == (0, "")
    assert list(tmp_path.iterdir()) == []


@contextmanager
def _a_may_sill(said: Path, *options: str) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """Run the command for as long as it takes to look, and lend its address; what it says goes into a file."""
    port = str(free_port())
    command = [sys.executable, "-m", "station", "demo", "--scenario", "window-sill-may", "--days", "1", "--port", port]
    with said.open("w") as out, subprocess.Popen([*command, *options], stdout=out) as demo:
        try:
            yield f"http://127.0.0.1:{port}/", demo
        finally:
            demo.terminate()
            demo.wait(30.0)


def _page(url: str, demo: subprocess.Popen[bytes]) -> str:
    """Return the page once it is served; a demo that ended instead is not waited for."""
    found: list[str] = []

    def ask() -> bool:
        try:
            with urllib.request.urlopen(url, timeout=10.0) as answer:  # noqa: S310 - loopback
                found.append(answer.read().decode())
        except OSError:
            return demo.poll() is not None
        return True

    assert until(ask, 60.0)
    assert found, "the demo ended before it served a page"
    return found[-1]
