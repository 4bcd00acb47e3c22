"""From lit minutes to the time at which the sun is expected tomorrow."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from station.domain.coming_sun import ComingSun, Lit, SunSeen, coming_sun, lit, sun_spells, tomorrow_text, window_text
from station.domain.shelf_moves import SHELF, MoveTakenBack, ShelfMoved, moved_at
from station.domain.sun import Place, sun_position
from tests.builders import START, a_reading

HOME = Place(50.0, 8.0)
BERLIN = ZoneInfo("Europe/Berlin")
FIRST = date(2026, 5, 4)


def lit_from(azimuth_deg: float, days: int, first: date = FIRST, step_min: int = 1) -> list[Lit]:
    """The sun stands between an azimuth and 20° further on, in every one of some days."""
    found = []
    for day in range(days):
        for minute in range(0, 1440, step_min):
            at = datetime.combine(first, time(0), UTC) + timedelta(days=day, minutes=minute)
            if 0.0 <= sun_position(HOME, at).azimuth_deg - azimuth_deg < 20.0:
                found.append(Lit(at, 60.0 * step_min))
    return found


def evening(days: int) -> datetime:
    return datetime.combine(FIRST, time(20), UTC) + timedelta(days=days - 1)


def test_a_reading_is_lit_from_the_limit_on_and_stands_for_its_middle() -> None:
    assert lit(a_reading(10, light_lx=6999.0), 7000.0) is None
    assert lit(a_reading(10, light_lx=None), 7000.0) is None
    assert lit(a_reading(10, light_lx=7000.0), 7000.0) == Lit(START + timedelta(minutes=9.5), 60.0)


def test_a_lamp_at_night_is_no_sun() -> None:
    night, noon = (datetime(2026, 5, 4, hour, tzinfo=UTC) for hour in (0, 12))
    assert [spell.began_at for spell in sun_spells(HOME, [Lit(night, 60.0), Lit(noon, 60.0)])] == [noon]


def test_a_log_of_hourly_readings_makes_one_spell_an_afternoon() -> None:
    noon = datetime(2026, 5, 4, 12, tzinfo=UTC)
    stretches = [Lit(noon + timedelta(hours=hour), 3600.0) for hour in range(3)]
    assert len(sun_spells(HOME, stretches)) == 1


def test_tomorrow_is_said_in_local_time() -> None:
    sun = coming_sun(HOME, lit_from(220.0, 5), evening(5), BERLIN)
    (spell,) = sun.tomorrow
    assert spell.began_at.astimezone(BERLIN).date() == FIRST + timedelta(days=5)
    local = [f"{at.astimezone(BERLIN):%H:%M}" for at in (spell.began_at, spell.ended_at)]
    assert tomorrow_text(sun, BERLIN) == f"Direct sun tomorrow {local[0]} to {local[1]} if the sky is clear."
    assert sun_position(HOME, spell.began_at).azimuth_deg == pytest.approx(220.0, abs=1.5)


def test_a_window_is_told_by_its_side_of_the_sky() -> None:
    (window,) = coming_sun(HOME, lit_from(215.0, 5), evening(5), BERLIN).windows
    assert window_text(window, BERLIN) == "from the south-west, azimuth 215° to 235°; seen on 5 days, last Fri 8 May"
    morning = [Lit(datetime.combine(FIRST, time(6, 0), UTC) + timedelta(days=day), 60.0) for day in range(5)]
    (east,) = coming_sun(HOME, morning, evening(5), BERLIN).windows
    assert window_text(east, BERLIN).startswith("from the east, ")


def test_what_is_not_known_or_not_to_come_is_said() -> None:
    assert (
        tomorrow_text(coming_sun(HOME, [], evening(1), UTC), UTC) == "No direct sun has been seen here on two days yet."
    )
    seen = coming_sun(HOME, lit_from(220.0, 5), evening(5), UTC)
    assert tomorrow_text(ComingSun(seen.windows, (), ()), UTC) == "No direct sun is expected tomorrow."


def test_after_the_station_was_moved_it_learns_anew() -> None:
    stretches = [*lit_from(120.0, 4), *lit_from(220.0, 4, FIRST + timedelta(days=4))]
    stretches.sort(key=lambda one: one.at)
    assert len(coming_sun(HOME, stretches, evening(8), UTC).windows) == 2
    (window,) = coming_sun(HOME, stretches, evening(8), UTC, evening(4)).windows
    assert window.azimuth_from_deg > 210.0


def test_a_log_that_somebody_else_reads_tells_of_the_sun_by_the_way() -> None:
    readings = [
        a_reading(minute, light_lx=9000.0 if 540 <= minute % 1440 < 600 else 10.0) for minute in range(3 * 1440)
    ]
    seen = SunSeen(7000.0)
    assert list(seen.watched(readings)) == readings
    sun = seen.coming(HOME, UTC)
    assert sun is not None
    (spell,) = sun.today  # the log ends before dawn
    assert abs(spell.began_at - (START + timedelta(days=3, hours=9))) < timedelta(minutes=5)
    assert seen.coming(None, UTC) is None
    assert SunSeen(7000.0).coming(HOME, UTC) is None


def test_the_latest_move_counts_unless_it_was_taken_back() -> None:
    first, second = ShelfMoved(SHELF, evening(1)), ShelfMoved(SHELF, evening(3))
    taken_back = MoveTakenBack(SHELF, evening(4), evening(3))
    assert moved_at([]) is None
    assert moved_at([second, first]) == evening(3)
    assert moved_at([taken_back, second, first]) == evening(1)
