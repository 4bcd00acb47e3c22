"""What is kept of finished hours is always what a reader would find that knows nothing yet."""

import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.domain.alert import Alert
from station.domain.readings import Reading
from station.ports import Minute, Redating
from station.store.finished import FRONTIER, MOST, Finished, Frontier
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from tests.builders import START, a_reading
from tests.store.worlds import a_shelf_log, after, an_alert

DAY = 1440
EDGES = [after(60.0 * hour) for hour in range(-48, 49)]


def shown(reader: ShelfReader) -> tuple[Any, ...]:
    """Everything that is kept of four days: by readings, by hours, by days, and by the lines of a table."""
    since_at, until_at = after(-2 * DAY), after(2 * DAY)
    lengths_s = (720.0, 7200.0, 21_600.0, 86_400.0)
    return (*(reader.steps(since_at, until_at, step_s) for step_s in lengths_s), reader.summed(EDGES))


def fresh(reader: ShelfReader) -> tuple[Any, ...]:
    """The same as one finds it who knows nothing yet."""
    return shown(ShelfReader(reader.path))


def minutely(minutes: range, temp_c: float = 20.0, **changes: Any) -> list[Reading]:
    return [a_reading(minute, temp_c, **changes) for minute in minutes]


def keep(log: ShelfLog, readings: list[Reading]) -> None:
    with log.batch():
        for reading in readings:
            log.commit(Minute(reading))


def questions(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, tuple[Any, ...]]]:
    """Return what readers ask of their files from now on."""
    asked: list[tuple[str, tuple[Any, ...]]] = []
    ask = ShelfReader._ask

    def noted(self: ShelfReader, sql: str, values: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
        asked.append((sql, values))
        return ask(self, sql, values)

    monkeypatch.setattr(ShelfReader, "_ask", noted)
    return asked


@pytest.mark.parametrize(
    "change",
    [
        lambda log: keep(log, [a_reading(301, 30.0)]),  # the next minute
        lambda log: keep(log, minutely(range(301, 1000), 25.0)),  # many of them
        lambda log: keep(log, [a_reading(100.5, 35.0)]),  # one of an hour that seemed finished
        lambda log: keep(log, [a_reading(290.5, 35.0)]),  # one of the newest hour, out of order
        lambda log: log.import_readings([a_reading(-900, 5.0, boot_id="log")]),  # one from elsewhere
        lambda log: log.commit(Minute(redating=Redating("wrong", after(-1500), -90_000.0))),  # the clock comes right
    ],
)
def test_whatever_is_written_shows(change: Any, tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        keep(log, minutely(range(60), boot_id="wrong", trusted=False))
        keep(log, minutely(range(60, 301)))
        reader = ShelfReader(tmp_path / "shelf.db")
        before = shown(reader)
        change(log)
        assert shown(reader) == fresh(reader) != before


def test_a_day_that_someone_takes_out_is_gone(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        keep(log, minutely(range(-DAY, 301, 10)))
    reader = ShelfReader(tmp_path / "shelf.db")
    before = shown(reader)
    with closing(sqlite3.connect(reader.path)) as connection, connection:
        first_ms = round(START.timestamp() * 1000)
        connection.execute("DELETE FROM readings WHERE dated_ms < ?", (first_ms,))
        connection.execute("DELETE FROM hours WHERE hour < ?", (first_ms // 3_600_000,))
    assert shown(reader) == fresh(reader) != before


def test_a_file_that_takes_the_place_of_another_is_a_new_one(tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    for folder, temp_c in ((tmp_path, 20.0), (other, 25.0)):
        with a_shelf_log(folder) as log:
            keep(log, minutely(range(301), temp_c))
    reader = ShelfReader(tmp_path / "shelf.db")
    with reader.together() as one:
        before = shown(one)
    (other / "shelf.db").replace(reader.path)
    with reader.together() as one:
        assert shown(one) == fresh(reader) != before


def test_a_log_begun_anew_is_a_new_one_though_the_disk_gives_it_the_old_one_s_number(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ShelfReader, "_inode", lambda _: 1)  # as ext4 does as soon as the old one is gone
    reader = ShelfReader(tmp_path / "shelf.db")
    for temp_c in (20.0, 25.0):
        reader.path.unlink(missing_ok=True)
        with a_shelf_log(tmp_path) as log:
            keep(log, minutely(range(301), temp_c))
        assert shown(reader) == fresh(reader)


def test_a_file_that_comes_later_is_seen(tmp_path: Path) -> None:
    reader = ShelfReader(tmp_path / "shelf.db")
    assert not any(shown(reader))
    with a_shelf_log(tmp_path) as log:
        keep(log, minutely(range(301)))
        assert shown(reader) == fresh(reader)
    assert any(shown(reader))


def test_only_the_newest_hour_is_asked_for_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with a_shelf_log(tmp_path) as log:
        keep(log, minutely(range(302)))
        reader = ShelfReader(tmp_path / "shelf.db")
        reader.steps(after(0), after(302), 720.0)
        keep(log, [a_reading(302)])
        asked = questions(monkeypatch)
        reader.steps(after(0), after(303), 720.0)
    newest_ms = round(after(300).timestamp() * 1000)  # the hour after 5 × 60 minutes has just begun
    assert [values[2] for _, values in asked if values] == [newest_ms]


minutes = st.integers(-2 * DAY, 2 * DAY - 1)
writes = st.lists(st.tuples(st.booleans(), st.lists(minutes, min_size=1, max_size=4)), min_size=1, max_size=8)


@settings(deadline=None, max_examples=40)
@given(writes, st.integers(-DAY, DAY))
def test_in_whatever_order_minutes_come(writes: list[tuple[bool, list[int]]], shift: int) -> None:
    with TemporaryDirectory() as folder, a_shelf_log(Path(folder)) as log:
        reader = ShelfReader(Path(folder, "shelf.db"))
        for number, (trusted, group) in enumerate(writes):
            boot_id = f"boot-{number}"
            keep(
                log,
                [
                    a_reading(one, float(one % 30), boot_id=boot_id, trusted=trusted, boot_s=60.0 * (one + 3000))
                    for one in group
                ],
            )
            assert shown(reader) == fresh(reader)
            if not trusted:
                log.commit(Minute(redating=Redating(boot_id, START + timedelta(minutes=shift - 3000), 60.0 * shift)))
                assert shown(reader) == fresh(reader)


@pytest.mark.parametrize(
    "change",
    [
        lambda log: log.commit(Minute(alerts=(an_alert("cold-2", raised_at=after(200)),))),
        lambda log: log.commit(Minute(alerts=(an_alert("cold-1", cleared_at=after(90)),))),
        lambda log: log.commit(Minute(redating=Redating("boot", after(30), 1800.0))),
    ],
)
def test_an_alert_that_is_raised_cleared_or_moved_shows(change: Any, tmp_path: Path) -> None:
    def told(reader: ShelfReader) -> tuple[Alert, ...]:
        return reader.alerts_within(after(10), after(300), 100)

    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(0, trusted=False), alerts=(an_alert("cold-1", trusted=False),)))
        reader = ShelfReader(tmp_path / "shelf.db")
        before = told(reader)
        change(log)
        assert told(reader) == reader.alerts(since_at=after(10), until_at=after(300)) != before


def test_alerts_are_asked_for_once_and_those_outside_the_stretch_left_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    times = [(-30, 9), (0, 10), (20, None), (50, 55), (51, None)]
    alerts = [
        an_alert(f"cold-{raised}", raised_at=after(raised), cleared_at=None if cleared is None else after(cleared))
        for raised, cleared in times
    ]
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(0), alerts=tuple(alerts)))
    reader = ShelfReader(tmp_path / "shelf.db")
    expected = reader.alerts(since_at=after(10), until_at=after(50))
    assert [one.id for one in expected] == ["cold-50", "cold-20", "cold-0"]
    assert reader.alerts_within(after(10), after(50), 100) == expected
    asked = questions(monkeypatch)
    assert reader.alerts_within(after(11), after(50), 100) == expected[:-1]
    assert [sql for sql, _ in asked] == [FRONTIER]


class TestFinished:
    def test_an_answer_is_kept_until_the_log_is_rewritten(self) -> None:
        finished = Finished()
        finished.known(Frontier(1, 0, 1000))
        finished.keep(Frontier(1, 0, 1000), {"Monday": 20.0})
        assert dict(finished.known(Frontier(1, 0, 2000))) == {"Monday": 20.0}
        assert dict(finished.known(Frontier(1, 1, 2000))) == {}

    @pytest.mark.parametrize("later", [Frontier(2, 0, 1000), Frontier(1, 1, 1000), Frontier(1, 0, 999)])
    def test_another_file_a_rewritten_and_a_shorter_one_are_new(self, later: Frontier) -> None:
        finished = Finished()
        finished.known(Frontier(1, 0, 1000))
        finished.keep(Frontier(1, 0, 1000), {"Monday": 20.0})
        assert dict(finished.known(later)) == {}

    def test_an_answer_from_before_a_rewrite_comes_too_late(self) -> None:
        finished = Finished()
        asked_with = Frontier(1, 0, 1000)
        finished.known(asked_with)
        finished.known(Frontier(1, 1, 1000))
        finished.keep(asked_with, {"Monday": 20.0})
        assert dict(finished.known(Frontier(1, 1, 1000))) == {}

    def test_it_does_not_grow_for_ever(self) -> None:
        finished, frontier = Finished(), Frontier(1, 0, 1000)
        finished.known(frontier)
        for number in range(3 * MOST):
            finished.keep(frontier, {number: number})
        assert len(finished.known(frontier)) <= MOST
        assert 3 * MOST - 1 in finished.known(frontier)
