"""What happens when the shelf log fails in the middle of it: nothing is lost, nothing is said twice."""

import json
from contextlib import suppress
from pathlib import Path

import pytest

from sim.clocks import ManualClock
from sim.replay import NoSignal
from sim.rig import RememberingPublisher
from station import messages
from station.config import Settings
from station.daemon import Station
from station.domain.alert import Alert
from station.domain.readings import Miss, Sample
from station.errors import StoreError
from station.ports import Minute, Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from tests.builders import START
from tests.daemon.world import ScriptedSensor, a_stand
from tests.failing import FailingConnection, failing_at
from tests.left_open import close_all

MINUTES = 75


def a_cold_half_hour(boot_s: float) -> Sample | Miss:
    """Cold for 35 minutes, then warm again: one raise, one clearing."""
    temp_c = 12.0 if boot_s < 35 * 60 else 20.0
    return Sample("shelf", temp_c + 0.1 * (int(boot_s / 10) % 2), 55.0, 100.0)


def test_a_failed_commit_moves_nothing_in_memory(tmp_path: Path) -> None:
    class Full(ShelfLog):
        def commit(self, minute: Minute) -> None:
            raise StoreError("the card is full", "Free some space.")

    stand = a_stand(tmp_path, log=Full.open(tmp_path / "shelf.db", durable=False))
    before = stand.station.memory
    with pytest.raises(StoreError, match="full"):
        stand.station.tick()
    assert stand.station.memory is before
    assert stand.judged == []
    stand.end()


def test_what_a_test_leaves_open_is_closed_after_it(tmp_path: Path) -> None:
    left = a_stand(tmp_path)
    close_all()
    with pytest.raises(StoreError):
        left.log.saved()
    with pytest.raises(StoreError):
        left.notebook.version()
    a_stand(tmp_path).live(1).end()  # nobody holds the file


def run_with_restarts(folder: Path, fail_at: int, broker: RememberingPublisher) -> int:
    """Live through the cold half hour with the n-th database call failing; begin again as systemd would.

    Returns:
        How many database calls there were before the failure came, so that the caller knows when to stop.
    """
    clock = ManualClock(START)
    failing_at(fail_at)
    with Notebook.open(folder / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    for _ in range(4):
        with suppress(StoreError), ShelfLog.open(folder / "shelf.db", durable=False, factory=FailingConnection) as log:
            live_on(folder, clock, log, broker)
            break
    return FailingConnection.calls


def live_on(folder: Path, clock: ManualClock, log: ShelfLog, broker: RememberingPublisher) -> None:
    with Notebook.open(folder / "notebook.db") as notebook:
        sensor = ScriptedSensor(clock, a_cold_half_hour)
        station = Station(Settings(), Rig(clock, (sensor,), broker, NoSignal()), log, notebook)
        station.start()
        while clock.boottime_s() < MINUTES * 60:
            station.tick()


def events_of(broker: RememberingPublisher) -> list[str]:
    """The ids of the events that the broker was given, repeats left out; a repeat must be the same throughout."""
    payloads = dict.fromkeys(one.payload for one in broker.messages if one.topic == "events")
    return [json.loads(payload)["id"] for payload in payloads]


def ids_of(alert: Alert) -> list[str]:
    assert alert.cleared_at is not None
    cleared = messages.event_id(alert, "cleared", alert.cleared_at)
    return [messages.event_id(alert, "raised", alert.raised_at), cleared]


def test_whichever_database_call_fails_the_alert_is_told_once_and_the_minutes_are_whole(tmp_path: Path) -> None:
    fail_at, calls = 1, 1
    while calls >= fail_at:
        folder = tmp_path / str(fail_at)
        folder.mkdir()
        broker = RememberingPublisher()
        calls = run_with_restarts(folder, fail_at, broker)
        reader = ShelfReader(folder / "shelf.db")
        alerts = reader.alerts()
        assert [str(alert.kind) for alert in alerts] == ["cold"], f"call {fail_at}"
        assert alerts[0].cleared_at is not None, f"call {fail_at}"
        count = len(list(reader.readings(START)))
        assert MINUTES - 2 <= count <= MINUTES, f"call {fail_at}: {count} minutes"
        assert reader.count() == count
        assert events_of(broker) == ids_of(alerts[0]), f"call {fail_at}"
        fail_at += 1 if fail_at < 60 else 37
    assert fail_at > 60
