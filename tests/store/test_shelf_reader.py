"""What others read of the shelf log: answers that agree with the readings, while the station goes on writing."""

import os
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.domain.alert import Alert
from station.domain.conditions import Kind, State
from station.domain.readings import Mark, Reading
from station.errors import StoreError
from station.ports import Minute
from station.store import summary_rows
from station.store.log_files import BOOT_ID
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from station.store.summaries import Bucket, Spread
from tests.builders import START, a_reading
from tests.store.worlds import LONG_AGO, a_minute, a_shelf_log, a_state, after, an_alert, an_outlook

WEEK = timedelta(days=7)


def a_reader(folder: Path) -> ShelfReader:
    return ShelfReader(folder / "shelf.db")


def an_imported(minute: float, temp_c: float | None = 20.0) -> Reading:
    return a_reading(minute, temp_c, boot_id=BOOT_ID, boot_s=after(minute).timestamp())


def filled(folder: Path, readings: list[Reading]) -> ShelfReader:
    with a_shelf_log(folder) as log:
        log.import_readings(readings)
    return a_reader(folder)


@pytest.mark.parametrize("made", ["no file", "no folder", "empty file"])
def test_before_the_station_has_written_every_answer_is_empty(made: str, tmp_path: Path) -> None:
    folder = tmp_path / "nowhere" if made == "no folder" else tmp_path
    if made == "empty file":
        (tmp_path / "shelf.db").touch()
    reader = a_reader(folder)
    assert reader.exists == (made == "empty file")
    assert reader.latest() is None
    assert reader.first_at() is None
    assert reader.outlook("comfrey-1") is None
    assert reader.count() == 0
    assert list(reader.readings(START)) == []
    assert reader.hours(START, after(60)) == ()
    for span in (timedelta(hours=1), WEEK, 100 * WEEK):
        assert reader.series(START, START + span, 100) == ()
    assert (reader.conditions(), reader.alerts(), reader.outlooks()) == ((), (), ())
    with reader.together() as one:
        assert one.latest() is None


def test_the_latest_reading_is_the_last_of_this_boot_even_in_1970(tmp_path: Path) -> None:
    wrong = a_reading(5, boot_id="next boot", measured_at=START.replace(year=1970), trusted=False)
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(500)))
        log.commit(Minute(wrong))
        log.import_readings([an_imported(900)])
    assert a_reader(tmp_path).latest() == wrong


def test_of_imported_readings_the_latest_is_the_last(tmp_path: Path) -> None:
    reader = filled(tmp_path, [an_imported(20), an_imported(30), an_imported(10)])
    assert reader.latest() == an_imported(30)
    assert reader.first_at() == after(10)
    assert reader.count() == 3


def test_readings_are_those_of_the_log(tmp_path: Path) -> None:
    readings = [an_imported(minute) for minute in range(10)]
    reader = filled(tmp_path, readings)
    assert list(reader.readings(LONG_AGO)) == readings
    assert list(reader.readings(after(2), after(4))) == readings[2:5]


def test_hours_say_what_was_measured_and_what_held(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(1, 14.0), (State(Kind.COLD, True),)))
        log.commit(Minute(a_reading(2, 15.0, rh_pct=None)))
        log.commit(Minute(a_reading(3, 90.0, marks=Mark.SUNLIT, light_lx=9000.0), (State(Kind.COLD, False),)))
        log.commit(Minute(a_reading(64, None, rh_pct=None, light_lx=None, good=0, missed=12)))
    first, second = a_reader(tmp_path).hours(START, after(120))
    assert (first.start_at, second.start_at) == (START, after(60))
    assert first.temp_c == Spread(14.0, 14.5, 15.0)
    assert first.rh_pct == Spread(55.0, 55.0, 55.0)
    assert first.light_lx == Spread(120.0, 3080.0, 9000.0)
    assert first.measured_h == pytest.approx(3 / 60)
    ((kind, held_h),) = first.raised_h
    assert kind is Kind.COLD
    assert held_h == pytest.approx(2 / 60)
    assert (first.count, second.count) == (3, 1)
    assert (second.temp_c, second.rh_pct, second.light_lx, second.measured_h) == (None, None, None, 0.0)
    assert a_reader(tmp_path).hours(after(1), after(60)) == ()
    assert len(a_reader(tmp_path).hours(after(1), after(61))) == 1


def test_hours_are_put_together_between_edges(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(60, 16.0, span_s=3600.0), (State(Kind.COLD, True),)))
        log.commit(Minute(a_reading(120, 20.0, span_s=3600.0), (State(Kind.COLD, False),)))
        log.commit(Minute(a_reading(240, 22.0, span_s=1800.0)))
    first, second = a_reader(tmp_path).summed((START, after(120), after(180), after(300)))
    # By hand: two hours at 16 and 20; one lies within 18.3 to 23.9 °C. The hour after them is a gap, and left out.
    assert (first.start_at, first.temp_c) == (START, Spread(16.0, 18.0, 20.0))
    assert (first.measured_h, first.good_h, first.count) == (2.0, 1.0, 2)
    assert first.raised_h == ((Kind.COLD, 1.0),)
    assert (second.start_at, second.measured_h, second.good_h) == (after(180), 0.5, 0.5)


def test_an_hour_belongs_to_the_stretch_in_which_it_begins(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.import_readings([an_imported(60.0 * hour + 30) for hour in range(4)])
    reader = a_reader(tmp_path)
    assert [part.count for part in reader.summed((START, after(90), after(240)))] == [2, 2]
    assert [part.start_at for part in reader.summed((after(1), after(240)))] == [after(60)]
    whole = reader.summed((START, after(240)))
    assert [part.count for part in whole] == [len(reader.hours(START, after(240)))]


def test_conditions_alerts_and_outlooks_are_those_last_kept(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(replace(a_minute(1), outlooks=(an_outlook("yarrow-1"), an_outlook("borage-1"))))
    reader = a_reader(tmp_path)
    assert reader.conditions() == a_minute(1).conditions
    assert reader.alerts() == a_minute(1).alerts
    assert reader.outlooks() == (an_outlook("borage-1"), an_outlook("yarrow-1"))
    assert reader.outlook("yarrow-1") == an_outlook("yarrow-1")
    assert reader.outlook("cleavers-9") is None


class TestAlerts:
    @pytest.fixture
    def reader(self, tmp_path: Path) -> ShelfReader:
        with a_shelf_log(tmp_path) as log:
            log.commit(Minute(alerts=(self.alert("old", 0, 10), self.alert("open", 5), self.alert("new", 60, 90))))
        return a_reader(tmp_path)

    def alert(self, name: str, raised: float, cleared: float | None = None) -> Alert:
        return an_alert(name, raised_at=after(raised), cleared_at=None if cleared is None else after(cleared))

    def test_the_newest_come_first(self, reader: ShelfReader) -> None:
        assert [alert.id for alert in reader.alerts()] == ["new", "open", "old"]
        assert [alert.id for alert in reader.alerts(limit=1)] == ["new"]

    def test_open_ones_only(self, reader: ShelfReader) -> None:
        assert [alert.id for alert in reader.alerts(open_only=True)] == ["open"]

    def test_those_that_still_held_at_some_time(self, reader: ShelfReader) -> None:
        assert [alert.id for alert in reader.alerts(since_at=after(10))] == ["new", "open", "old"]
        assert [alert.id for alert in reader.alerts(since_at=after(11))] == ["new", "open"]

    def test_those_that_were_raised_by_some_time(self, reader: ShelfReader) -> None:
        assert [alert.id for alert in reader.alerts(until_at=after(59))] == ["open", "old"]
        assert [alert.id for alert in reader.alerts(until_at=after(60), since_at=after(11))] == ["new", "open"]
        assert reader.alerts(open_only=True, until_at=after(4)) == ()


def by_hand(readings: list[Reading], start_at: datetime, width: timedelta) -> list[tuple[datetime, int, float | None]]:
    """Start, count and mean temperature of each step that has readings."""
    steps: dict[int, list[Reading]] = {}
    for reading in readings:
        steps.setdefault((reading.measured_at - start_at) // width, []).append(reading)
    return [(start_at + number * width, len(group), mean_c(group)) for number, group in sorted(steps.items())]


def mean_c(readings: list[Reading]) -> float | None:
    temps = [one.temp_c for one in readings if one.temp_c is not None]
    return sum(temps) / len(temps) if temps else None


def assert_same(buckets: tuple[Bucket, ...], expected: list[tuple[datetime, int, float | None]]) -> None:
    assert [(one.start_at, one.count) for one in buckets] == [(start_at, count) for start_at, count, _ in expected]
    for bucket, (_, _, temp_c) in zip(buckets, expected, strict=True):
        assert (bucket.temp_c.mean if bucket.temp_c else None) == (None if temp_c is None else pytest.approx(temp_c))


class TestSeries:
    @settings(deadline=None, max_examples=30)
    @given(st.sets(st.integers(0, 599)), st.integers(45, 200))
    def test_a_short_chart_agrees_with_the_readings(self, minutes: set[int], buckets: int) -> None:
        readings = [an_imported(minute, None if minute % 7 == 3 else minute / 10) for minute in sorted(minutes)]
        with TemporaryDirectory() as folder:
            found = filled(Path(folder), readings).series(START, after(600), buckets)
        width = timedelta(milliseconds=-(-600 * 60_000 // buckets))
        assert_same(found, by_hand(readings, START, width))
        assert len(found) <= buckets

    def test_a_long_chart_has_steps_of_whole_hours(self, tmp_path: Path) -> None:
        readings = [an_imported(minute + 0.5, minute / 100) for minute in range(0, 7 * 1440, 13)]
        found = filled(tmp_path, readings).series(START, START + WEEK, 100)
        assert_same(found, by_hand(readings, START, timedelta(hours=2)))
        assert {one.span_s for one in found} == {7200.0}
        assert len(found) == 84

    def test_a_very_long_chart_has_steps_of_whole_days(self, tmp_path: Path) -> None:
        start_at = START.replace(hour=0)
        readings = [an_imported(60 * hour + 30 - 360, hour / 100) for hour in range(0, 200 * 24, 5)]
        found = filled(tmp_path, readings).series(start_at, start_at + timedelta(days=200), 50)
        assert_same(found, by_hand(readings, start_at, timedelta(days=4)))
        assert {one.span_s for one in found} == {4 * 86_400.0}
        assert len(found) == 50

    def test_it_leaves_out_what_lies_outside(self, tmp_path: Path) -> None:
        reader = filled(tmp_path, [an_imported(minute) for minute in range(100)])
        assert sum(one.count for one in reader.series(after(10), after(20), 5)) == 10

    def test_extremes_and_means_of_every_value(self, tmp_path: Path) -> None:
        readings = [
            replace(an_imported(1, 10.0), rh_pct=40.0, light_lx=None, span_s=60.0),
            replace(an_imported(2, 13.0), rh_pct=None, light_lx=None, span_s=30.0),
        ]
        (found,) = filled(tmp_path, readings).series(START, after(10), 1)
        assert found == Bucket(START, 600.0, Spread(10.0, 11.0, 13.0), Spread(40.0, 40.0, 40.0), None, 2)

    def test_the_same_week_looks_alike_by_hours_and_by_readings(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        reader = filled(tmp_path, [an_imported(minute + 0.5, minute / 100) for minute in range(1440)])
        by_hours = reader.series(START, after(1440), 24)
        monkeypatch.setattr(summary_rows, "HOURS_FROM_MS", 1 << 60)
        monkeypatch.setattr(summary_rows, "DAYS_FROM_MS", 1 << 60)
        assert reader.series(START, after(1440), 24) == by_hours


class TestBesideTheStation:
    def test_answers_are_whole_minutes_while_the_station_writes(self, tmp_path: Path) -> None:
        done = threading.Event()
        reader = a_reader(tmp_path)
        with a_shelf_log(tmp_path) as log:
            writer = threading.Thread(target=self.write, args=(log, done))
            writer.start()
            counts = []
            while not done.is_set():
                counts.append(len(list(reader.readings(START))))
                assert reader.exists
            writer.join()
        assert counts == sorted(counts)
        assert reader.count() == 300

    def write(self, log: ShelfLog, done: threading.Event) -> None:
        for number in range(300):
            log.commit(Minute(a_reading(number)))
        done.set()

    def test_an_open_reader_does_not_let_the_wal_grow(self, tmp_path: Path) -> None:
        wal = tmp_path / "shelf.db-wal"
        with a_shelf_log(tmp_path) as log, a_reader(tmp_path).together() as reader:
            sizes = []
            for number in range(3000):
                log.commit(Minute(a_reading(number)))
                if number % 100 == 0:
                    assert reader.latest() == a_reading(number)
                    next(iter(reader.readings(START)))
                    sizes.append(wal.stat().st_size)
        assert max(sizes) < 2_000_000, "a write-ahead log of 1,000 pages of 1 kB is copied back"

    def test_a_reader_never_writes(self, tmp_path: Path) -> None:
        a_shelf_log(tmp_path).close()
        with a_reader(tmp_path)._opened() as connection, pytest.raises(sqlite3.OperationalError, match="readonly"):
            connection.execute("DELETE FROM hours")

    def test_a_log_in_a_folder_that_only_others_may_write_is_read(self, tmp_path: Path) -> None:
        """In a process of its own, because root may write everywhere until it gives that up."""
        filled(tmp_path, [an_imported(1), an_imported(2)])
        tmp_path.chmod(0o500)
        give_up = ["setpriv", "--bounding-set", "-dac_override", "--"] if os.geteuid() == 0 else []
        look = (
            f"from station.store.shelf_reader import *; print(ShelfReader(Path({str(tmp_path)!r}, 'shelf.db')).count())"
        )
        said = subprocess.run([*give_up, sys.executable, "-c", look], capture_output=True, text=True)
        assert (said.stdout, said.stderr) == ("2\n", "")

    def test_nothing_stays_open(self, tmp_path: Path) -> None:
        reader = filled(tmp_path, [an_imported(1)])
        with reader.together() as one:
            assert one.count() == 1
            kept = one._kept
        assert kept is not None
        with pytest.raises(sqlite3.ProgrammingError):
            kept.execute("SELECT 1")


def test_a_file_of_another_kind_is_named(tmp_path: Path) -> None:
    (tmp_path / "shelf.db").write_bytes(b"not a database at all, " * 99)
    with pytest.raises(StoreError, match=r"shelf\.db is not a database"):
        a_reader(tmp_path).latest()


def test_a_question_that_sqlite_cannot_answer_becomes_a_plain_error(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(conditions=(a_state(),)))
    with closing(sqlite3.connect(tmp_path / "shelf.db")) as connection:
        connection.execute("DROP TABLE states")
    with pytest.raises(StoreError, match="no such table"):
        a_reader(tmp_path).conditions()
