"""The station's minute, restarts, and clocks that are wrong."""

import itertools
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sim.clocks import ClockFaults, Jump, ManualClock
from station.daemon import level_of
from station.domain.alert import AlertKind
from station.domain.jars import Noted, Stage, Strained
from station.domain.packing import Cover, Packing
from station.domain.readings import Miss, Sample
from station.ports import Answer
from station.store.notebook import Notebook
from station.store.shelf_reader import ShelfReader
from tests.builders import START
from tests.daemon.world import Stand, a_stand, steady


def reader(stand: Stand) -> ShelfReader:
    return ShelfReader(stand.folder / "shelf.db")


def test_a_minute_becomes_one_reading(tmp_path: Path) -> None:
    stand = a_stand(tmp_path).live(1)
    stand.end()
    latest = reader(stand).latest()
    assert latest is not None
    assert latest.measured_at == START + timedelta(minutes=1)
    assert latest.temp_c == pytest.approx(20.05, abs=0.06)
    assert (latest.good, latest.missed) == (6, 0)
    assert latest.trusted


def test_a_sensor_is_asked_every_ten_seconds(tmp_path: Path) -> None:
    stand = a_stand(tmp_path).live(2)
    assert stand.sensor.asked == [10.0 * number for number in range(12)]
    stand.end()
    assert not stand.sensor.is_open


def test_a_slow_sensor_is_asked_no_more_often_than_it_can_bear(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    stand.sensor.spacing_s = 25.0
    stand.live(2)
    assert stand.sensor.asked == [0.0, 30.0, 60.0, 90.0]
    stand.end()


def test_misses_are_counted_and_a_silent_sensor_is_said(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, lambda _: Miss("shelf", "no answer")).live(10)
    assert stand.raised() == {"silent"}
    assert stand.judged[-1].minute.reading is not None
    assert stand.judged[-1].minute.reading.missed == 6
    stand.end()


def test_a_cold_spell_raises_one_alert_that_survives_a_restart(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, steady(12.0)).live(45)
    (alert,) = stand.station.memory.alerts
    assert alert.kind is AlertKind.COLD
    stand.end()
    again = a_stand(tmp_path, steady(12.0), clock=stand.clock).live(30)
    assert again.station.memory.alerts[0].id == alert.id
    assert [change for judged in again.judged for change in judged.changes] == []
    again.end()
    assert len(reader(stand).alerts()) == 1


def test_the_mean_light_of_the_last_two_hours_survives_a_restart_late_in_the_day(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, steady(light_lx=800.0)).live(6 * 60)
    stand.end()
    again = a_stand(tmp_path, steady(light_lx=800.0), clock=stand.clock).live(1)
    assert again.station.memory.shelf.light.mean == pytest.approx(800.0)
    again.end()


def test_a_hold_that_was_under_way_goes_on_after_a_restart(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, steady(12.0)).live(20)
    stand.end()
    again = a_stand(tmp_path, steady(12.0), clock=stand.clock).live(9)
    assert again.raised() == set()
    again.live(3)
    assert again.raised() == {"cold"}
    again.end()


def test_a_jar_is_followed_from_its_packing_and_its_outlook_is_kept(tmp_path: Path) -> None:
    stand = a_stand(tmp_path).live(10)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        packed_at = stand.clock.now() - timedelta(minutes=5)
        jar = grower.pack("comfrey", packed_at, 1000.0, now_at=stand.clock.now())
    stand.live(60)
    outlook = reader(stand).outlook(jar.id)
    assert outlook is not None
    assert outlook.stage is Stage.WORKING
    assert outlook.heat.warmth.observed_h == pytest.approx(64 / 60, abs=0.2)
    assert outlook.ready_likely_at is not None
    assert timedelta(days=5) < outlook.ready_likely_at - packed_at < timedelta(days=6)
    assert outlook.evening_at is not None
    stand.end()


def test_a_jar_whose_packing_was_recorded_late_is_counted_from_the_log(tmp_path: Path) -> None:
    stand = a_stand(tmp_path).live(600)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        jar = grower.pack("comfrey", START + timedelta(minutes=60), 1000.0, now_at=stand.clock.now())
    stand.live(1)
    outlook = reader(stand).outlook(jar.id)
    assert outlook is not None
    assert outlook.heat.warmth.observed_h == pytest.approx(541 / 60, abs=0.05)
    stand.end()


def test_a_strained_jar_keeps_the_warmth_it_had_when_it_was_strained(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        jar = grower.pack("comfrey", START, 1000.0, now_at=START)
        stand.live(300)
        grower.record(Strained(jar.id, START + timedelta(minutes=200)), now_at=stand.clock.now())
        stand.live(100)
    outlook = reader(stand).outlook(jar.id)
    assert outlook is not None
    assert outlook.stage is Stage.DRAINING
    assert outlook.heat.warmth.observed_h == pytest.approx(200 / 60, abs=0.02)
    stand.end()


def test_after_a_restart_the_warmth_of_the_minutes_since_the_last_write_is_caught_up(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    stand.live(127)
    had_h = stand.station.memory.outlooks[0].heat.warmth.observed_h
    stand.end()
    again = a_stand(tmp_path, clock=stand.clock).live(1)
    now = again.station.memory.outlooks[0].heat.warmth
    assert now.observed_h == pytest.approx(had_h + 1 / 60, abs=1e-6)
    assert now.bridged_h == 0.0
    again.end()


TRUE_START = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("begins_at", "name"),
    [
        (datetime(1970, 1, 1, tzinfo=UTC), "1970"),
        (TRUE_START - timedelta(days=9), "the past"),
        (TRUE_START + timedelta(days=3), "the future"),
    ],
)
def test_readings_from_before_the_time_was_known_are_dated_afterwards(
    tmp_path: Path, begins_at: datetime, name: str
) -> None:
    faults = ClockFaults(begins_at=begins_at, syncs=3600.0)
    stand = a_stand(tmp_path, steady(12.0), faults=faults).live(59)
    untrusted = list(reader(stand).readings(begins_at, begins_at + timedelta(hours=2)))
    assert len(untrusted) == 59
    assert not any(reading.trusted for reading in untrusted)
    stand.live(61)
    stand.end()
    dated = [reading.measured_at for reading in reader(stand).readings(TRUE_START)]
    assert dated == [TRUE_START + timedelta(minutes=minute) for minute in range(1, 121)]
    (alert,) = reader(stand).alerts()
    assert alert.raised_at - TRUE_START == pytest.approx(timedelta(minutes=30), abs=timedelta(minutes=2))
    assert alert.trusted
    hours = reader(stand).hours(TRUE_START, TRUE_START + timedelta(hours=3))
    assert sum(hour.count for hour in hours) == 120


def test_a_condition_from_before_the_time_was_known_is_kept_with_its_true_time(tmp_path: Path) -> None:
    faults = ClockFaults(begins_at=datetime(1970, 1, 1, tzinfo=UTC), syncs=3600.0)
    stand = a_stand(tmp_path, steady(12.0), faults=faults).live(120)
    stand.end()
    (cold,) = (state for state in reader(stand).conditions() if state.raised)
    assert cold.since_at is not None
    assert cold.since_at - TRUE_START == pytest.approx(timedelta(), abs=timedelta(minutes=2))


@pytest.mark.parametrize("begins_at", [datetime(1970, 1, 1, tzinfo=UTC), TRUE_START + timedelta(hours=1)])
def test_a_condition_from_the_boot_before_keeps_its_time(tmp_path: Path, begins_at: datetime) -> None:
    before = a_stand(tmp_path, steady(12.0), start_at=TRUE_START).live(60)
    before.end()
    clock = ManualClock(TRUE_START + timedelta(hours=3), ClockFaults(begins_at=begins_at, syncs=3600.0))
    clock.reboot()
    again = a_stand(tmp_path, steady(12.0), clock=clock).live(90)
    again.end()
    (cold,) = (state for state in reader(again).conditions() if state.raised)
    assert cold.since_at is not None
    assert cold.since_at - TRUE_START == pytest.approx(timedelta(), abs=timedelta(minutes=2))


def test_the_light_of_the_boot_before_is_not_taken_for_today_s(tmp_path: Path) -> None:
    a_stand(tmp_path, steady(light_lx=5000.0)).live(55).end()
    clock = ManualClock(START + timedelta(days=7))
    clock.reboot()
    clock.sleep(3900.0)  # the station is started late: by boot time it follows right on the bright hour
    again = a_stand(tmp_path, steady(light_lx=50.0), clock=clock).live(10)
    assert "bright" not in again.raised()
    again.end()


def test_a_restart_in_the_same_boot_goes_on_with_the_light_s_mean(tmp_path: Path) -> None:
    before = a_stand(tmp_path, steady(light_lx=5000.0)).live(50)
    before.end()
    again = a_stand(tmp_path, steady(light_lx=5000.0), clock=before.clock).live(
        25
    )  # a slot under way is lost: up to ten minutes
    assert "bright" in again.raised()
    again.end()


def test_a_jar_packed_before_the_time_was_known_gets_its_warmth_when_it_is(tmp_path: Path) -> None:
    faults = ClockFaults(begins_at=datetime(1970, 1, 1, tzinfo=UTC), syncs=3600.0)
    stand = a_stand(tmp_path, faults=faults)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", TRUE_START, 1000.0, now_at=TRUE_START)
    stand.live(50)
    assert stand.station.memory.outlooks == ()
    stand.live(20)
    warmth = stand.station.memory.outlooks[0].heat.warmth
    assert warmth.observed_h == pytest.approx(70 / 60, abs=0.04)
    assert warmth.missing_h == 0.0
    stand.end()


def test_a_restart_between_boot_and_sync_still_dates_the_earlier_minutes(tmp_path: Path) -> None:
    faults = ClockFaults(begins_at=datetime(1970, 1, 1, tzinfo=UTC), syncs=3600.0)
    stand = a_stand(tmp_path, faults=faults).live(30)
    stand.end()
    again = a_stand(tmp_path, clock=stand.clock).live(40)
    again.end()
    assert len(list(reader(again).readings(TRUE_START))) == 70


def test_a_trusted_clock_that_jumps_leaves_every_minute_in_place(tmp_path: Path) -> None:
    faults = ClockFaults(jumps=(Jump(1800.0, -900.0), Jump(3600.0, 1200.0)))
    stand = a_stand(tmp_path, faults=faults)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    stand.live(120)
    warmth = stand.station.memory.outlooks[0].heat.warmth
    assert warmth.observed_h == pytest.approx(2.0, abs=0.03)
    assert warmth.bridged_h == 0.0
    stand.end()
    assert len(list(reader(stand).readings(START - timedelta(days=1)))) == 120


def test_a_machine_that_slept_does_not_race_through_the_lost_minutes(tmp_path: Path) -> None:
    clock = ManualClock(START)

    def drowsy(boot_s: float) -> Sample | Miss:
        if 299.0 < boot_s < 301.0:
            clock.advance(3600.0)
        return steady()(boot_s)

    stand = a_stand(tmp_path, drowsy, clock=clock).live(20)
    stand.end()
    assert len(list(reader(stand).readings(START))) == 20
    spans = [judged.minute.reading.boot_s for judged in stand.judged if judged.minute.reading]
    assert max(later - earlier for earlier, later in itertools.pairwise(spans)) > 3000


def test_a_stop_in_the_middle_of_a_minute_drops_that_minute_only(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)

    def stops(boot_s: float) -> Sample | Miss:
        if boot_s >= 150.0:
            stand.station.stop()
        return steady()(boot_s)

    stand.sensor.script = stops
    stand.station.run()
    stand.end()
    assert len(list(reader(stand).readings(START))) == 2


def test_a_stop_in_the_middle_of_a_wait_is_obeyed_within_a_second_of_the_stations_clock(tmp_path: Path) -> None:
    class Interrupted(ManualClock):
        def sleep(self, seconds: float) -> None:
            if self.boottime_s() >= 150.0:
                stand.station.stop()
            super().sleep(seconds)

    stand = a_stand(tmp_path, clock=Interrupted(START))
    stand.station.run()
    stand.end()
    assert stand.clock.boottime_s() <= 151.0


def test_a_naive_time_is_refused() -> None:
    from station.errors import JarsideError
    from tests.builders import a_reading

    with pytest.raises(JarsideError, match="naive"):
        replace(a_reading(), measured_at=datetime(2026, 5, 4, 6, 0))  # noqa: DTZ001


def test_the_lamp_asks_for_someone_until_they_have_taken_note(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    assert level_of(stand.live(3).station.memory.alerts) == "good"
    stand.sensor.script = steady(12.0)
    assert level_of(stand.live(35).station.memory.alerts) == "act"
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.answer(Answer(stand.station.memory.alerts[0].id, stand.clock.now()))
    assert level_of(stand.live(1).station.memory.alerts) == "watch"
    stand.end()


def test_the_call_to_loosen_a_lid_ends_a_minute_after_somebody_says_that_it_was(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    tight = Packing(cover=Cover.TIGHT_LID)
    jar = stand.notebook.pack("comfrey", START, 1000.0, now_at=START, packing=tight)
    stand.live(3)
    assert [alert.kind for alert in stand.station.memory.alerts] == [AlertKind.COVER]

    with Notebook.open(tmp_path / "notebook.db") as phone:
        phone.record(Noted(jar.id, stand.clock.now(), "", cover=Cover.LOOSE_LID), now_at=stand.clock.now())
    stand.live(1)
    assert stand.station.memory.alerts == ()
    (cleared,) = reader(stand).alerts()
    assert cleared.cleared_at == START + timedelta(minutes=4)
    stand.end()
