"""Hours and days are exactly what the readings give, however they came in."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from station.domain.conditions import Kind, State
from station.domain.readings import Mark, Reading
from station.ports import Minute, Redating
from station.store import rollups
from station.store.connection import writing
from tests.builders import START, a_reading
from tests.store.worlds import a_shelf_log, days_by_hand, hours_by_hand, rows

values = st.none() | st.integers(-40_000, 100_000).map(lambda number: number / 1000)
spans_s = st.sampled_from([1.0, 10.0, 60.0, 600.0, 3600.0])


@st.composite
def some_readings(draw: st.DrawFn, most: int = 12) -> list[Reading]:
    """Readings within three days about a moment that may lie before 1970, at any second, of any span."""
    start_at = draw(st.sampled_from([START, START.replace(year=1970, month=1, day=1), START.replace(year=1969)]))
    seconds = draw(st.lists(st.integers(0, 3 * 86_400), min_size=1, max_size=most, unique=True))
    return [
        a_reading(
            measured_at=start_at + timedelta(seconds=second),
            boot_s=float(second),
            temp_c=draw(values),
            rh_pct=draw(values),
            light_lx=draw(values),
            span_s=draw(spans_s),
            marks=draw(st.sampled_from([Mark.NONE, Mark.SUNLIT, Mark.SATURATED | Mark.SUNLIT, Mark.DOUBTED])),
            trusted=draw(st.booleans()),
        )
        for second in seconds
    ]


@settings(deadline=None, max_examples=60)
@given(some_readings(), st.data())
def test_roll_ups_equal_a_recomputation(readings: list[Reading], data: st.DataObject) -> None:
    with TemporaryDirectory() as folder, a_shelf_log(Path(folder)) as log:
        raised: set[Kind] = set()
        stored = []
        for reading in readings:
            changed = data.draw(st.sets(st.sampled_from(Kind)))
            raised ^= changed
            log.commit(Minute(reading, tuple(State(kind, kind in raised) for kind in changed)))
            stored.append((reading, sum(rollups.BITS[kind] for kind in raised)))
        path = Path(folder, "shelf.db")
        assert rows(path, "SELECT * FROM hours ORDER BY hour") == hours_by_hand(stored)
        assert rows(path, "SELECT * FROM days ORDER BY day") == days_by_hand(stored)


@settings(deadline=None, max_examples=40)
@given(some_readings())
def test_building_them_anew_changes_nothing(readings: list[Reading]) -> None:
    with TemporaryDirectory() as folder, a_shelf_log(Path(folder)) as log:
        log.import_readings(sorted(readings, key=lambda one: one.measured_at))
        path = Path(folder, "shelf.db")
        before = rows(path, "SELECT * FROM hours"), rows(path, "SELECT * FROM days")
        with writing(log._connection, path):
            rollups.rebuild(log._connection, [hour for (hour,) in rows(path, "SELECT hour FROM hours")])
        assert (rows(path, "SELECT * FROM hours"), rows(path, "SELECT * FROM days")) == before


@settings(deadline=None, max_examples=40)
@given(some_readings(), st.integers(-4 * 86_400, 20_000 * 86_400))
def test_they_follow_when_the_clock_comes_right(readings: list[Reading], shift_s: int) -> None:
    boot_at = readings[0].measured_at - timedelta(seconds=readings[0].boot_s) + timedelta(seconds=shift_s)
    with TemporaryDirectory() as folder, a_shelf_log(Path(folder)) as log:
        for reading in readings:
            log.commit(Minute(reading))
        log.commit(Minute(redating=Redating("boot", boot_at, shift_s)))
        right = [
            one if one.trusted else replace(one, measured_at=boot_at + timedelta(seconds=one.boot_s), trusted=True)
            for one in readings
        ]
        path = Path(folder, "shelf.db")
        assert rows(path, "SELECT * FROM hours ORDER BY hour") == hours_by_hand((one, 0) for one in right)
        assert rows(path, "SELECT * FROM days ORDER BY day") == days_by_hand((one, 0) for one in right)
        assert list(log.readings(START.replace(year=1))) == sorted(right, key=lambda one: (one.measured_at, one.boot_s))


def test_a_minute_that_ends_on_the_hour_belongs_to_the_hour_it_was_measured_in(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(60)))
    assert rows(tmp_path / "shelf.db", "SELECT hour * 3600 FROM hours") == [(int(START.timestamp()),)]


def test_a_restart_goes_on_with_the_conditions_that_held(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(1), (State(Kind.COLD, True),)))
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(2)))
        log.commit(Minute(a_reading(3), (State(Kind.COLD, False),)))
    assert rows(tmp_path / "shelf.db", "SELECT cold_ms FROM hours") == [(120_000,)]


def test_every_condition_has_its_bit() -> None:
    assert set(rollups.BITS) == set(Kind)
    assert sum(rollups.BITS.values()) == 2 ** len(Kind) - 1


def test_a_reading_twice_counts_once(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        for _ in range(3):
            log.commit(Minute(a_reading(1)))
    assert rows(tmp_path / "shelf.db", "SELECT n, temp_sum FROM hours") == [(1, 20_000 * 60_000)]
