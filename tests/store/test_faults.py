"""Whatever fails, and wherever: a minute is kept whole or not at all, and each minute once."""

import itertools
import os
import random
import select
import signal
import subprocess
import sys
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from pathlib import Path
from shutil import copy

import pytest

from station.errors import JarsideError, StoreError
from station.ports import Answer, Minute, Redating
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from tests.builders import START, a_reading
from tests.store.faulty import Faults
from tests.store.worlds import (
    LONG_AGO,
    a_minute,
    a_shelf_log,
    an_alert,
    everything,
    forget_that_a_temperature_may_be_missing,
    rows,
)

TRIES = 3
FORM = "form 1"


def the_minutes() -> list[Minute]:
    """A few minutes with everything in them: the clock comes right in the third."""
    first, second = (
        Minute(
            reading=a_reading(number, measured_at=START - timedelta(days=9, minutes=-number), trusted=False),
            alerts=(an_alert(f"early-{number}", raised_at=START - timedelta(days=9, minutes=-number), trusted=False),),
        )
        for number in (1, 2)
    )
    return [
        first,
        second,
        Minute(a_reading(3), redating=Redating("boot", START, 9 * 86_400.0)),
        a_minute(4),
        a_minute(5),
    ]


def begun(folder: Path, empty: Path) -> Path:
    """A folder whose log is the same from the first byte: each that is begun anew has a number of its own."""
    folder.mkdir()
    copy(empty, folder / "shelf.db")
    return folder


def the_right_end(folder: Path) -> dict[str, list[tuple[object, ...]]]:
    with a_shelf_log(folder) as log:
        for minute in the_minutes():
            log.commit(minute)
    return everything(folder / "shelf.db")


def until_it_works(action: Callable[[], object]) -> None:
    for _ in range(TRIES):
        try:
            action()
        except StoreError:
            continue
        return
    raise AssertionError(f"still failing after {TRIES} tries")


@pytest.mark.parametrize("late", [False, True], ids=["before its effect", "after its effect"])
@pytest.mark.parametrize("restart", [False, True], ids=["same process", "after a restart"])
def test_any_call_may_fail_once_and_nothing_is_lost_or_doubled(tmp_path: Path, *, late: bool, restart: bool) -> None:
    a_shelf_log(tmp_path).close()
    empty = tmp_path / "shelf.db"
    right = the_right_end(begun(tmp_path / "right", empty))
    for number in itertools.count(1):
        folder = begun(tmp_path / str(number), empty)
        faults = Faults(number, late=late)
        world = World(folder, faults, restart=restart)
        faults.armed = True
        for minute in the_minutes():
            until_it_works(partial(world.commit, minute))
        world.log.close()
        assert everything(folder / "shelf.db") == right, f"call {number}"
        if not faults.happened:
            break
    assert number > 50, "the loop must have gone through every call of the five minutes"


class World:
    """A station that, told to, starts anew after each failure."""

    def __init__(self, folder: Path, faults: Faults, *, restart: bool) -> None:
        self._folder = folder
        self._faults = faults
        self._restart = restart
        self.log = self._open()

    def _open(self) -> ShelfLog:
        return a_shelf_log(self._folder, factory=self._faults.factory())

    def commit(self, minute: Minute) -> None:
        try:
            self.log.commit(minute)
        except StoreError:
            if self._restart:
                self.log.close()
                self.log = self._open()
            raise


def test_any_call_of_opening_may_fail_once(tmp_path: Path) -> None:
    for number in itertools.count(1):
        folder = tmp_path / str(number)
        folder.mkdir()
        faults = Faults(number, late=False)
        faults.armed = True
        until_it_works(partial(opened_and_used, folder, faults))
        with a_shelf_log(folder) as log:
            assert list(log.readings(LONG_AGO)) == [a_minute(1).reading]
        if not faults.happened:
            break
    assert number > 20


def opened_and_used(folder: Path, faults: Faults) -> None:
    with a_shelf_log(folder, factory=faults.factory()) as log:
        log.commit(a_minute(1))


@pytest.mark.parametrize("late", [False, True], ids=["before its effect", "after its effect"])
def test_a_form_sent_again_after_a_failure_makes_one_record(tmp_path: Path, *, late: bool) -> None:
    for number in itertools.count(1):
        folder = tmp_path / str(number)
        folder.mkdir()
        faults = Faults(number, late=late)
        with Notebook.open(folder / "notebook.db", factory=faults.factory()) as notebook:
            faults.armed = True
            until_it_works(partial(notebook.pack, "Comfrey", START, 1000.0, now_at=START, token=FORM))
            until_it_works(partial(notebook.answer, Answer("cold-1", START), token=f"another {FORM}"))
            faults.armed = False
            assert [jar.id for jar in notebook.jars()] == ["comfrey-1"]
            assert notebook.answers(START) == (Answer("cold-1", START),)
        if not faults.happened:
            break
    assert number > 10


@pytest.mark.parametrize("question", ["saved", "pending", "readings", "hour_temps"])
def test_a_question_that_fails_says_so(question: str, tmp_path: Path) -> None:
    questions: dict[str, Callable[[ShelfLog], object]] = {
        "saved": lambda log: log.saved(),
        "pending": lambda log: log.pending(),
        "readings": lambda log: list(log.readings(START)),
        "hour_temps": lambda log: log.hour_temps(START),
    }
    faults = Faults(1, late=False)
    with a_shelf_log(tmp_path, factory=faults.factory()) as log:
        faults.armed = True
        with pytest.raises(StoreError, match="cannot be read or written: disk I/O error") as failed:
            questions[question](log)
    assert failed.value.remedy


class TestKilled:
    """`kill -9` of a process that keeps minutes: what it had reported as kept is there, whole, and nothing half."""

    ROUNDS = 8

    def test_whole_minutes_are_kept(self, tmp_path: Path) -> None:
        chance = random.Random(20260504)
        kept = 0
        for _ in range(self.ROUNDS):
            reported = self.run_and_kill(tmp_path / "shelf.db", kept, chance.uniform(0.0, 0.15))
            found = self.whole_minutes(tmp_path / "shelf.db")
            assert found >= reported >= kept
            kept = found
        assert kept > self.ROUNDS, "the child must have got somewhere"

    def run_and_kill(self, path: Path, start: int, wait_s: float) -> int:
        """Return the number of the last minute that the child reported."""
        command = [sys.executable, "-m", "tests.store.minute_writer", str(path), str(start)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as child:
            assert child.stdout is not None
            ready, _, _ = select.select([child.stdout], [], [], 30.0)
            assert ready, "the child never began"
            select.select([], [], [], wait_s)
            os.kill(child.pid, signal.SIGKILL)
            reported = child.stdout.read().split(b"\n")[:-1]
        return int(reported[-1])

    def whole_minutes(self, path: Path) -> int:
        assert rows(path, "PRAGMA integrity_check") == [("ok",)]
        numbers = [ms // 60_000 for (ms,) in rows(path, "SELECT id & ((1 << 43) - 1) FROM readings ORDER BY id")]
        assert numbers == list(range(1, len(numbers) + 1)), "a minute is missing"
        assert rows(path, "SELECT count(*) FROM outbox") == [(len(numbers),)]
        assert rows(path, "SELECT count(*) FROM alerts") == [(len(numbers),)]
        assert rows(path, "SELECT sum(n) FROM hours") == [(len(numbers),)]
        assert rows(path, "SELECT sum(n) FROM days") == [(len(numbers),)]
        return len(numbers)


class TestFullDisk:
    def test_the_minute_that_does_not_fit_leaves_no_trace(self, small_disk: Path) -> None:
        with a_shelf_log(small_disk) as log:
            kept, failure = self.fill(log, small_disk)
            assert "the disk is full" in failure.what
            assert str(small_disk) in failure.remedy
            (small_disk / "filler").unlink()
            assert len(list(log.readings(LONG_AGO))) == kept
            log.commit(Minute(a_reading(kept + 1)))
        assert rows(small_disk / "shelf.db", "SELECT sum(n) FROM hours") == [(kept + 1,)]

    def fill(self, log: ShelfLog, disk: Path) -> tuple[int, StoreError]:
        (disk / "filler").write_bytes(b"x" * 600_000)
        for number in itertools.count(1):
            try:
                log.commit(Minute(a_reading(number), messages=a_minute(number).messages * 20))
            except StoreError as error:
                return number - 1, error
        raise AssertionError

    def test_there_is_no_room_for_a_new_file(self, small_disk: Path) -> None:
        (small_disk / "filler").write_bytes(b"x" * 1_040_000)
        for open_it in (ShelfLog.open, Notebook.open):
            with pytest.raises(StoreError) as failed:
                open_it(small_disk / "some.db")
            assert failed.value.remedy

    def test_an_import_that_does_not_fit_leaves_no_trace(self, small_disk: Path) -> None:
        with a_shelf_log(small_disk) as log:
            with pytest.raises(StoreError, match="full"):
                log.import_readings(a_reading(number) for number in range(100_000))
            assert list(log.readings(LONG_AGO)) == []


class TestReadOnly:
    @pytest.fixture
    def sealed(self, small_disk: Path) -> Path:
        with a_shelf_log(small_disk) as log:
            log.commit(a_minute(1))
        with Notebook.open(small_disk / "notebook.db") as notebook:
            notebook.pack("comfrey", START, 1000.0, now_at=START)
        subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
        return small_disk

    def test_the_station_says_that_it_cannot_write(self, sealed: Path) -> None:
        with pytest.raises(StoreError, match="cannot be written") as failed:
            a_shelf_log(sealed)
        assert "writable" in failed.value.remedy

    def test_the_notebook_can_be_read_but_not_written(self, sealed: Path) -> None:
        with Notebook.open(sealed / "notebook.db") as notebook:
            assert notebook.jar("comfrey").plant == "comfrey"
            with pytest.raises(StoreError, match="cannot be written") as failed:
                notebook.pack("yarrow", START, 1000.0, now_at=START)
        assert "writable" in failed.value.remedy

    def test_the_shelf_log_can_be_read(self, sealed: Path) -> None:
        latest = ShelfReader(sealed / "shelf.db").latest()
        assert latest == a_minute(1).reading

    def test_a_new_file_is_refused(self, sealed: Path) -> None:
        with pytest.raises(JarsideError) as failed:
            Notebook.open(sealed / "other.db")
        assert failed.value.remedy


def test_damage_that_reading_does_not_notice_is_found_out_too(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(1, temp_c=None)))
    forget_that_a_temperature_may_be_missing(tmp_path / "shelf.db")
    a_shelf_log(tmp_path).close()  # closed well the last time: not looked through
    (tmp_path / "shelf.db-wal").touch()
    with pytest.raises(StoreError, match=r"is damaged: NULL value in readings\.temp"):
        a_shelf_log(tmp_path)


def test_a_damaged_file_is_found_out_when_the_last_writer_was_cut_short(tmp_path: Path) -> None:
    path = tmp_path / "shelf.db"
    with a_shelf_log(tmp_path) as log:
        for number in range(1, 400):
            log.commit(a_minute(number))
    damaged = bytearray(path.read_bytes())
    damaged[20 * 1024 : 60 * 1024] = b"\xff" * (40 * 1024)
    path.write_bytes(damaged)
    (tmp_path / "shelf.db-wal").touch()
    with pytest.raises(StoreError, match="is damaged") as failed:
        a_shelf_log(tmp_path)
    assert "backup" in failed.value.remedy
