"""A station without a battery clock: what was taken with a wrong clock moves when the clock comes right."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from station.ports import Minute, Redating
from station.store import redating
from station.store.shelf_log import ShelfLog
from tests.builders import START, a_reading
from tests.store.worlds import LONG_AGO, a_shelf_log, after, an_alert, everything, rows

BOOT_AT = START
Y1970 = datetime(1970, 1, 1, tzinfo=UTC)
LAST_WEEK = START - timedelta(days=7)


@dataclass(frozen=True)
class WrongClock:
    """What a wrong clock shows `minute` minutes after boot."""

    name: str
    shows: Callable[[int], datetime]


CLOCKS = (
    WrongClock("starts in 1970", lambda minute: Y1970 + timedelta(minutes=minute)),
    WrongClock("starts in the past", lambda minute: LAST_WEEK + timedelta(minutes=minute)),
    WrongClock("starts in the future", lambda minute: START + timedelta(days=400, minutes=minute)),
    WrongClock("steps forward", lambda minute: (Y1970 if minute < 40 else LAST_WEEK) + timedelta(minutes=minute)),
    WrongClock("steps back", lambda minute: (LAST_WEEK if minute < 40 else Y1970) + timedelta(minutes=minute)),
    WrongClock(
        "steps both ways",
        lambda minute: START + timedelta(minutes=minute, hours=(0, 5, -3, 1)[minute // 25]),
    ),
)


def with_clock(clock: WrongClock, log: ShelfLog, minutes: int = 100) -> Redating:
    """Measure for a while by a wrong clock, then learn the right time."""
    for minute in range(1, minutes):
        log.commit(Minute(a_reading(minute, 10.0 + minute, measured_at=clock.shows(minute), trusted=False)))
    last = minutes - 1
    return Redating("boot", BOOT_AT, (after(last) - clock.shows(last)).total_seconds())


@pytest.mark.parametrize("clock", CLOCKS, ids=lambda clock: clock.name)
def test_every_reading_of_the_boot_gets_its_true_time(clock: WrongClock, tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        change = with_clock(clock, log)
        log.commit(Minute(a_reading(100), redating=change))
        readings = list(log.readings(LONG_AGO))
    assert [one.measured_at for one in readings] == [after(minute) for minute in range(1, 101)]
    assert all(one.trusted for one in readings)
    assert [one.temp_c for one in readings[:-1]] == [10.0 + minute for minute in range(1, 100)]


@pytest.mark.parametrize("clock", CLOCKS, ids=lambda clock: clock.name)
def test_the_hours_are_those_of_a_clock_that_was_always_right(clock: WrongClock, tmp_path: Path) -> None:
    (tmp_path / "right").mkdir()
    with a_shelf_log(tmp_path) as wrong, a_shelf_log(tmp_path / "right") as right:
        wrong.commit(Minute(redating=with_clock(clock, wrong)))
        for minute in range(1, 100):
            right.commit(Minute(a_reading(minute, 10.0 + minute)))
    for table in ("hours", "days"):
        expected = rows(tmp_path / "right" / "shelf.db", f"SELECT * FROM {table}")  # noqa: S608
        assert rows(tmp_path / "shelf.db", f"SELECT * FROM {table}") == expected  # noqa: S608


@pytest.mark.parametrize("clock", CLOCKS, ids=lambda clock: clock.name)
def test_an_alert_moves_with_the_reading_that_raised_it(clock: WrongClock, tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        change = with_clock(clock, log)
        raised = an_alert(
            raised_at=clock.shows(60), since_at=clock.shows(31), cleared_at=clock.shows(90), trusted=False
        )
        log.commit(Minute(alerts=(raised,)))
        log.commit(Minute(redating=change))
    (row,) = rows(tmp_path / "shelf.db", "SELECT raised_us, since_us, cleared_us, trusted FROM alerts")
    assert row == (*(int(after(minute).timestamp() * 1e6) for minute in (60, 31, 90)), 1)


def test_times_of_an_alert_between_two_readings_move_by_the_shift(tmp_path: Path) -> None:
    clock = CLOCKS[0]
    noted_at = clock.shows(50) + timedelta(seconds=17, microseconds=3)
    with a_shelf_log(tmp_path) as log:
        change = with_clock(clock, log)
        log.commit(Minute(alerts=(an_alert(raised_at=clock.shows(40), acknowledged_at=noted_at, trusted=False),)))
        log.commit(Minute(redating=change))
        (alert,) = log.saved().alerts
    assert alert.acknowledged_at == after(50) + timedelta(seconds=17, microseconds=3)
    assert alert.put_off_until_at is None


def test_doing_it_twice_changes_nothing(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        change = with_clock(CLOCKS[0], log)
        log.commit(Minute(alerts=(an_alert(raised_at=CLOCKS[0].shows(40), trusted=False),)))
        log.commit(Minute(redating=change))
        before = everything(tmp_path / "shelf.db")
        log.commit(Minute(redating=change))
    assert everything(tmp_path / "shelf.db") == before


def test_the_minute_as_first_written_does_not_come_back_after_redating(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        change = with_clock(CLOCKS[0], log)
        log.commit(Minute(redating=change))
        log.commit(Minute(a_reading(5, measured_at=CLOCKS[0].shows(5), trusted=False)))
        assert len(list(log.readings(LONG_AGO))) == 99


def test_the_time_first_written_stays_on_record(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        change = with_clock(CLOCKS[0], log, minutes=3)
        log.commit(Minute(a_reading(3), redating=change))
    assert rows(tmp_path / "shelf.db", "SELECT raw_ms FROM readings ORDER BY id") == [(60_000,), (120_000,), (None,)]


def test_other_boots_and_trusted_times_stay(tmp_path: Path) -> None:
    other = a_reading(7, boot_id="other", trusted=False)
    trusted = a_reading(200)
    alert = an_alert(boot_id="other", trusted=False)
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(other, alerts=(alert, an_alert("mine", trusted=True))))
        log.commit(Minute(trusted))
        log.commit(Minute(redating=Redating("boot", BOOT_AT + timedelta(days=1), 86_400.0)))
        assert list(log.readings(LONG_AGO)) == [other, trusted]
        assert set(log.saved().alerts) == {alert, an_alert("mine", trusted=True)}


def test_an_alert_of_the_same_minute_stays_as_it_is_given(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        change = with_clock(CLOCKS[0], log)
        log.commit(Minute(alerts=(an_alert(raised_at=CLOCKS[0].shows(40), trusted=False),)))
        log.commit(Minute(alerts=(an_alert(raised_at=after(41)),), redating=change))
        assert [alert.raised_at for alert in log.saved().alerts] == [after(41)]


class TestAfterARestart:
    def test_the_log_says_which_boot_still_waits(self, tmp_path: Path) -> None:
        with a_shelf_log(tmp_path) as log:
            log.commit(Minute(a_reading(1, boot_id="older", trusted=False)))
            with_clock(CLOCKS[1], log)
        with a_shelf_log(tmp_path) as log:
            saved = log.saved()
        assert (saved.untrusted_boot_id, saved.untrusted_boot_at) == ("boot", LAST_WEEK)

    def test_no_boot_waits_once_the_time_is_known(self, tmp_path: Path) -> None:
        with a_shelf_log(tmp_path) as log:
            log.commit(Minute(redating=with_clock(CLOCKS[1], log)))
            saved = log.saved()
        assert (saved.untrusted_boot_id, saved.untrusted_boot_at) == ("", None)

    def test_finding_it_does_not_go_through_all_readings(self, tmp_path: Path) -> None:
        with a_shelf_log(tmp_path) as log:
            log.commit(Minute(a_reading(1)))
            plan = log._connection.execute(f"EXPLAIN QUERY PLAN {redating._LAST_UNTRUSTED}", (43,)).fetchall()
        assert any("USING COVERING INDEX untrusted" in row[3] or "USING INDEX untrusted" in row[3] for row in plan)


def test_redating_a_boot_nobody_knows_changes_no_reading(tmp_path: Path) -> None:
    with a_shelf_log(tmp_path) as log:
        log.commit(Minute(a_reading(1, trusted=False)))
        log.commit(Minute(redating=Redating("unheard of", BOOT_AT, 1e6)))
        assert list(log.readings(LONG_AGO)) == [replace(a_reading(1), trusted=False)]
