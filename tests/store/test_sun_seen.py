"""Direct sun in the shelf log, found by its hours; and the moves of the station."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.coming_sun import lit
from station.domain.sun import Place
from station.errors import NotebookError
from station.store.notebook_files import read_notebook, write_notebook
from station.store.shelf_log import ShelfLog
from station.store.shelf_moves import ShelfMoves
from station.store.shelf_reader import ShelfReader
from station.store.sun_seen import sun_seen
from tests.builders import START, a_reading
from tests.store.garden import NOW, a_notebook, day

HOME = Place(50.0, 8.0)
LIMIT_LX = 7000.0


def a_log(folder: Path, lights: list[tuple[float, float]], span_min: float = 1.0) -> ShelfReader:
    """A shelf log of readings at some minutes, with their light."""
    with ShelfLog.open(folder / "shelf.db", durable=False) as log:
        log.import_readings(a_reading(minute, light_lx=lx, span_s=60.0 * span_min) for minute, lx in lights)
    return ShelfReader(folder / "shelf.db")


def afternoons(days: int) -> list[tuple[float, float]]:
    """Ten-minute readings with sun from the tenth to the eleventh hour after START, each day."""
    minutes = range(0, days * 1440, 10)
    return [(minute, 20_000.0 if 600 <= minute % 1440 < 660 else 50.0) for minute in minutes]


@given(
    lights=st.lists(st.tuples(st.integers(0, 600), st.sampled_from([0.0, 6999.0, 7000.0, 50_000.0])), max_size=60),
    span_min=st.sampled_from([0.25, 1.0, 10.0, 60.0]),
    bounds=st.tuples(st.integers(-10, 610), st.integers(-10, 610)),
)
def test_the_lit_readings_are_those_that_looking_at_each_one_finds(
    tmp_path_factory: pytest.TempPathFactory,
    lights: list[tuple[int, float]],
    span_min: float,
    bounds: tuple[int, int],
) -> None:
    shelf = a_log(tmp_path_factory.mktemp("log"), [(float(minute), lx) for minute, lx in lights], span_min)
    since_at, until_at = (START + timedelta(minutes=minute) for minute in bounds)
    looked_at = (lit(reading, LIMIT_LX) for reading in shelf.readings(since_at, until_at))
    assert shelf.lit(LIMIT_LX, since_at, until_at) == tuple(one for one in looked_at if one is not None)


def test_without_a_log_there_is_no_sun(tmp_path: Path) -> None:
    assert sun_seen(ShelfReader(tmp_path / "shelf.db"), HOME, LIMIT_LX, NOW, UTC).windows == ()


def test_the_log_of_some_days_tells_when_the_sun_comes_tomorrow(tmp_path: Path) -> None:
    shelf = a_log(tmp_path, afternoons(6), 10.0)
    now_at = START + timedelta(days=5, hours=15, minutes=20)
    (spell,) = sun_seen(shelf, HOME, LIMIT_LX, now_at, UTC).tomorrow
    assert abs(spell.began_at - (START + timedelta(days=6, hours=10))) < timedelta(minutes=10)
    moved = sun_seen(shelf, HOME, LIMIT_LX, now_at, UTC, now_at - timedelta(hours=1))
    assert moved.windows == ()


def test_only_the_last_half_a_year_is_looked_at(tmp_path: Path) -> None:
    shelf = a_log(tmp_path, afternoons(4), 10.0)
    assert sun_seen(shelf, HOME, LIMIT_LX, START + timedelta(days=170), UTC).windows != ()
    assert sun_seen(shelf, HOME, LIMIT_LX, START + timedelta(days=190), UTC).windows == ()


def test_a_move_is_kept_and_may_be_taken_back(tmp_path: Path) -> None:
    with a_notebook(tmp_path) as notebook:
        moves = ShelfMoves(notebook)
        with pytest.raises(NotebookError, match="never moved"):
            moves.take_back(now_at=NOW)
        moves.move(day(3), now_at=NOW)
        moves.move(day(5), now_at=NOW)
        assert moves.last_at() == day(5)
        assert moves.take_back(now_at=NOW) == day(5)
        assert moves.last_at() == day(3)
        with pytest.raises(NotebookError, match="future"):
            moves.move(datetime(2999, 1, 1, tzinfo=UTC), now_at=NOW)


def test_moves_travel_with_the_notebook(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    with a_notebook(tmp_path) as notebook, a_notebook(tmp_path / "other") as other:
        ShelfMoves(notebook).move(day(3), now_at=NOW)
        write_notebook(notebook, tmp_path / "all.csv")
        read_notebook(other, tmp_path / "all.csv", now_at=NOW)
        assert ShelfMoves(other).last_at() == day(3)
