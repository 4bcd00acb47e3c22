"""The shelf log keeps whole minutes, each once, and gives back what it was given."""

import fcntl
import os
from dataclasses import replace
from datetime import UTC, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from station.domain.conditions import Kind, SlidingMean
from station.domain.readings import Mark, ProbeReading
from station.errors import StoreError
from station.ports import Minute, Saved
from station.ports import ShelfLog as Port
from station.store import reading_rows
from station.store.log_files import read_log
from station.store.shelf_log import ShelfLog
from tests.builders import START, a_reading
from tests.store.worlds import (
    LONG_AGO,
    a_message,
    a_minute,
    a_shelf_log,
    a_state,
    after,
    an_alert,
    an_outlook,
    everything,
    rows,
)


def test_a_new_log_remembers_nothing(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        assert log.saved() == Saved()
        assert log.pending() == ()
        assert list(log.readings(LONG_AGO)) == []
        assert list(log.hour_temps(START)) == []


def test_it_is_what_the_station_asks_for(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        port: Port = log
        assert port.saved() == Saved()


def test_a_restart_finds_everything_as_it_was(tmp_path: Path) -> None:
    light = SlidingMean(7200.0, ((1, 59.9, 1.0 / 3.0), (3, 60.0, 7200.0)), "boot")
    alert = an_alert(
        acknowledged_at=after(1.000001),
        put_off_until_at=after(90),
        notified_at=after(2),
        jar_id="yarrow-2",
        trusted=False,
    )
    minute = Minute(
        a_reading(1), (a_state(), a_state(Kind.SUN, since_at=None, peak=None)), light, (alert,), (an_outlook(),)
    )
    with a_shelf_log(tmp_path) as log:
        log.commit(minute)
    with a_shelf_log(tmp_path) as log:
        saved = log.saved()
    assert set(saved.conditions) == set(minute.conditions)
    assert (saved.light, saved.alerts, saved.outlooks) == (light, (alert,), (an_outlook(),))


def test_a_reading_comes_back_as_it_was(tmp_path: Path) -> None:
    full = a_reading(
        1.0,
        temp_c=-3.125,
        rh_pct=99.9,
        light_lx=120_000.5,
        good=5,
        missed=7,
        trusted=False,
        span_s=59.5,
        marks=Mark.SATURATED | Mark.DOUBTED,
        probes=(ProbeReading("left jar", 17.25), ProbeReading("right jar", 18.5)),
    )
    bare = a_reading(2, temp_c=None, rh_pct=None, light_lx=None, good=0, missed=12)
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(full))
        log.commit(Minute(bare))
        assert list(log.readings(START)) == [full, bare]


def test_times_are_kept_to_the_millisecond_whatever_their_zone(tmp_path: Path) -> None:
    fine = a_reading(measured_at=START + timedelta(microseconds=1499), boot_s=0.1234)
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(fine))
        (back,) = log.readings(START)
    assert back.measured_at == START + timedelta(milliseconds=1)
    assert back.measured_at.tzinfo is UTC
    assert back.boot_s == 0.123


def test_the_same_minute_twice_is_kept_once(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(a_minute(1))
        before = everything(tmp_path / "shelf.db")
        log.commit(a_minute(1))
    assert everything(tmp_path / "shelf.db") == before


def test_two_boots_at_the_same_second_are_two_readings(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(1)))
        log.commit(Minute(a_reading(1, boot_id="another boot")))
        assert len(list(log.readings(START))) == 2


def test_a_minute_without_a_reading_keeps_the_rest(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(alerts=(an_alert(),), messages=(a_message(),)))
        assert log.saved().alerts == (an_alert(),)
        assert len(log.pending()) == 1


def test_an_alert_that_cleared_is_no_longer_open_but_stays(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(alerts=(an_alert(),)))
        log.commit(Minute(alerts=(an_alert(cleared_at=after(9)),)))
        assert log.saved().alerts == ()
    assert len(rows(tmp_path / "shelf.db", "SELECT * FROM alerts")) == 1


def test_an_outlook_in_a_form_of_old_is_left_out(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(outlooks=(an_outlook("borage-1"), an_outlook("yarrow-1"))))
        log._connection.execute("""UPDATE outlooks SET body = '{"warm": 3}' WHERE jar_id = 'borage-1'""")
        assert log.saved().outlooks == (an_outlook("yarrow-1"),)


def test_messages_are_numbered_in_order_and_a_number_is_never_given_twice(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(messages=(a_message("a"), a_message("b", retain=False))))
        first, second = log.pending()
        assert (first.payload, first.retain, second.payload, second.retain) == (b"a", True, b"b", False)
        assert first.created_at == after(1)
        log.commit(Minute(sent=(first.id, second.id)))
        assert log.pending() == ()
        log.commit(Minute(messages=(a_message("c"),)))
        assert log.pending()[0].id > second.id


def test_pending_gives_the_oldest_few(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(messages=tuple(a_message(str(number)) for number in range(60))))
        assert [message.payload for message in log.pending(2)] == [b"0", b"1"]
        assert len(log.pending()) == 50


def failing_batch(log: ShelfLog, minute: Minute) -> None:
    with log.batch():
        log.commit(minute)
        raise ZeroDivisionError


def test_a_batch_is_kept_whole_or_not_at_all(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        with pytest.raises(ZeroDivisionError):
            failing_batch(log, a_minute(1))
        assert list(log.readings(LONG_AGO)) == []
        with log.batch():
            log.commit(a_minute(1))
            log.commit(a_minute(2))
        assert len(list(log.readings(LONG_AGO))) == 2


def test_the_boot_of_a_batch_that_failed_is_not_remembered(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        with pytest.raises(ZeroDivisionError):
            failing_batch(log, Minute(a_reading(1, boot_id="first")))
        log.commit(Minute(a_reading(1, boot_id="second")))
        log.commit(Minute(a_reading(1, boot_id="first")))
        assert [one.boot_id for one in log.readings(START)] == ["second", "first"]


def test_readings_come_in_order_of_time_and_in_pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading_rows, "CHUNK", 7)
    monkeypatch.setattr(reading_rows, "_PAGE", reading_rows._PAGE.replace("LIMIT 5000", "LIMIT 7"))
    with a_shelf_log(tmp_path) as log:
        for number in reversed(range(28)):
            log.commit(Minute(a_reading(number // 2, boot_id=f"boot {number % 2}")))
        found = list(log.readings(START))
        assert len(found) == 28
        assert all(one.measured_at <= other.measured_at for one, other in pairwise(found))
        assert len(list(log.readings(after(3), after(5)))) == 6


def test_a_minute_may_be_kept_while_readings_are_being_gone_through(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(a_minute(1))
        for _ in log.readings(START):
            log.commit(a_minute(2))
        assert len(list(log.readings(START))) == 2


def test_hourly_means_leave_out_hours_without_a_believable_temperature(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        for minute, temp_c, marks in (
            (10, 20.0, 0),
            (20, 21.0, 0),
            (70, None, 0),
            (130, 40.0, Mark.SUNLIT),
            (190, 18.0, 0),
        ):
            log.commit(Minute(a_reading(minute, temp_c, marks=Mark(marks))))
        assert list(log.hour_temps(START)) == [(START, 20.5), (START + timedelta(hours=3), 18.0)]
        assert list(log.hour_temps(after(1))) == [(START + timedelta(hours=3), 18.0)]


def test_a_second_writer_is_refused_with_the_number_of_the_first(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path), pytest.raises(StoreError, match=f"process {os.getpid()}") as refused:
        a_shelf_log(tmp_path)
    assert refused.value.remedy
    a_shelf_log(tmp_path).close()


def test_closing_twice_is_harmless(tmp_path: Path) -> None:
    log = a_shelf_log(tmp_path)
    log.close()
    log.close()


def test_a_durable_log_waits_for_the_disk(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path, durable=True) as log:
        run = log._connection.execute
        # SQLite manual, PRAGMA synchronous: 2 is FULL, 0 is OFF
        assert run("PRAGMA synchronous").fetchone() == (2,)
        assert run("PRAGMA journal_mode").fetchone() == ("wal",)
    with a_shelf_log(tmp_path) as log:
        assert log._connection.execute("PRAGMA synchronous").fetchone() == (0,)


class TestImport:
    def log_file(self, folder: Path) -> Path:
        path = folder / "kitchen.csv"
        lines = [f"{after(10 * number).isoformat()},{15 + number / 8},50.5," for number in range(30)]
        path.write_text("\n".join(["time,temp_c,rh_pct,light_lx", *lines, ""]))
        return path

    def test_the_same_file_twice_changes_nothing(self, tmp_path: Path) -> None:
        source = read_log(self.log_file(tmp_path))
        with a_shelf_log(tmp_path) as log:
            assert log.import_readings(source) == (30, 0)
            before = everything(tmp_path / "shelf.db")
            assert log.import_readings(source) == (0, 30)
            assert list(log.readings(START)) == list(source)
        assert everything(tmp_path / "shelf.db") == before

    def test_what_the_station_measured_itself_stays(self, tmp_path: Path) -> None:
        with a_shelf_log(tmp_path) as log:
            log.commit(Minute(a_reading(10, temp_c=3.0)))
            assert log.import_readings(read_log(self.log_file(tmp_path))) == (29, 1)
            assert [one.temp_c for one in log.readings(after(10), after(10))] == [3.0]

    def test_a_bad_row_leaves_nothing_behind(self, tmp_path: Path) -> None:
        path = self.log_file(tmp_path)
        path.write_text(path.read_text() + "tomorrow,1,2,3\n")
        with a_shelf_log(tmp_path) as log:
            with pytest.raises(Exception, match="line 32"):
                log.import_readings(read_log(path))
            assert list(log.readings(LONG_AGO)) == []

    @pytest.mark.parametrize("time", ["1970-01-01T00:00:00+00:00", "2247-12-31T23:59:59.999000+00:00"])
    def test_the_earliest_and_the_latest_row_a_log_file_may_hold_can_be_read_again(
        self, tmp_path: Path, time: str
    ) -> None:
        path = tmp_path / "edge.csv"
        path.write_text(f"time,temp_c,rh_pct,light_lx\n{time},20,50,\n")
        with a_shelf_log(tmp_path) as log:
            assert log.import_readings(read_log(path)) == (1, 0)
            assert [one.measured_at.isoformat() for one in log.readings(LONG_AGO)] == [time]

    def test_imported_readings_have_no_conditions(self, tmp_path: Path) -> None:
        with a_shelf_log(tmp_path) as log:
            log.commit(Minute(conditions=(a_state(),)))
            log.import_readings([replace(a_reading(1), boot_id="log", boot_s=after(1).timestamp())])
        assert rows(tmp_path / "shelf.db", "SELECT raised FROM readings") == [(0,)]


def test_a_writer_that_has_not_signed_yet_is_told_without_a_number(tmp_path: Path) -> None:
    with (tmp_path / "shelf.db-writer").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with pytest.raises(StoreError) as caught:
            a_shelf_log(tmp_path)
    assert caught.value.what == f"{tmp_path / 'shelf.db'} is being written by another program"
