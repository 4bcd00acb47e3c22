from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from station.domain.edges import Edge, Seen, Sight, aside_deg, edges_of
from station.domain.sun import Place, SunPosition, sun_position
from station.domain.sunwindow import SunSpell, expected_sun, spells_of, sun_windows

HOME = Place(50.0, 8.0)
BERLIN = ZoneInfo("Europe/Berlin")
FIRST = date(2026, 4, 1)


def sunny_minutes(day: date, from_deg: float = 200.0, to_deg: float = 230.0, place: Place = HOME) -> list[datetime]:
    """The minutes in which the sun stands between two azimuths, as behind a tall window."""
    start_at = datetime.combine(day, time(0), UTC) - timedelta(hours=place.lon_deg / 15.0)
    found = []
    for minute in range(1440):
        at = start_at + timedelta(minutes=minute)
        sun = sun_position(place, at)
        if sun.elevation_deg > 0.0 and aside_deg(sun.azimuth_deg, from_deg) >= 0.0 > aside_deg(sun.azimuth_deg, to_deg):
            found.append(at)
    return found


def days_of(count: int, first: date = FIRST) -> list[date]:
    return [first + timedelta(days=day) for day in range(count)]


def spells(days: list[date], from_deg: float = 200.0, to_deg: float = 230.0, place: Place = HOME) -> list[SunSpell]:
    return [spell for day in days for spell in spells_of(sunny_minutes(day, from_deg, to_deg, place))]


def evening_of(day: date) -> datetime:
    return datetime.combine(day, time(22), UTC)


def minutes_between(one: datetime, other: datetime) -> float:
    return abs(one - other) / timedelta(minutes=1)


def test_minutes_of_sun_make_spells() -> None:
    start_at = datetime(2026, 4, 1, 13, 0, tzinfo=UTC)
    ats = [start_at + timedelta(minutes=minute) for minute in (0, 1, 2, 10, 40, 41)]
    assert spells_of(ats) == (SunSpell(ats[0], ats[3]), SunSpell(ats[4], ats[5]))
    assert spells_of([]) == ()


def test_tomorrow_the_sun_comes_when_it_came_in_the_last_days() -> None:
    days = days_of(5)
    (window,) = sun_windows(HOME, spells(days), evening_of(days[-1]))
    tomorrow = days[-1] + timedelta(days=1)
    expected = expected_sun(HOME, window, tomorrow, BERLIN)
    assert expected is not None
    truth = sunny_minutes(tomorrow)
    assert minutes_between(expected.began_at, truth[0]) < 3
    assert minutes_between(expected.ended_at, truth[-1]) < 3
    assert (window.days, window.last_seen_at.date()) == (5, days[-1])


def test_the_window_is_told_in_degrees() -> None:
    (window,) = sun_windows(HOME, spells(days_of(5)), evening_of(days_of(5)[-1]))
    assert window.azimuth_from_deg == pytest.approx(200.0, abs=0.6)
    assert window.azimuth_to_deg == pytest.approx(230.0, abs=0.6)
    assert 30.0 < window.elevation_from_deg < window.elevation_to_deg < 48.0


def test_a_cloudy_beginning_does_not_move_the_window() -> None:
    days = days_of(6)
    seen = spells(days)
    late = [
        SunSpell(one.began_at + timedelta(minutes=20 * (index % 2)), one.ended_at) for index, one in enumerate(seen)
    ]
    (clear,), (cloudy,) = (sun_windows(HOME, one, evening_of(days[-1])) for one in (seen, late))
    ats = [expected_sun(HOME, one, days[-1], BERLIN) for one in (clear, cloudy)]
    assert ats[0] is not None
    assert ats[1] is not None
    assert minutes_between(ats[0].began_at, ats[1].began_at) < 3


def test_a_cloud_in_between_is_not_the_end() -> None:
    days = days_of(3)
    torn = [
        part
        for one in spells(days)
        for part in (
            SunSpell(one.began_at, one.began_at + timedelta(minutes=20)),
            SunSpell(one.began_at + timedelta(minutes=50), one.ended_at),
        )
    ]
    assert len(sun_windows(HOME, torn, evening_of(days[-1]))) == 1


def test_a_single_day_is_not_believed() -> None:
    assert sun_windows(HOME, spells(days_of(1)), evening_of(FIRST)) == ()
    assert sun_windows(HOME, [], evening_of(FIRST)) == ()


def test_morning_and_afternoon_are_two_windows_in_the_order_of_the_day() -> None:
    days = days_of(4)
    seen = spells(days, 240.0, 260.0) + spells(days, 100.0, 120.0)
    morning, afternoon = sun_windows(HOME, seen, evening_of(days[-1]))
    assert morning.azimuth_to_deg < 125.0
    assert afternoon.azimuth_from_deg > 235.0


def test_what_was_seen_before_the_station_moved_is_forgotten() -> None:
    days = days_of(8)
    moved_at = evening_of(days[3])
    seen = spells(days[:4], 100.0, 120.0) + spells(days[4:], 240.0, 260.0)
    assert len(sun_windows(HOME, seen, evening_of(days[-1]))) == 2
    (window,) = sun_windows(HOME, seen, evening_of(days[-1]), moved_at)
    assert window.azimuth_from_deg > 235.0


def test_what_was_seen_half_a_year_ago_is_forgotten() -> None:
    assert sun_windows(HOME, spells(days_of(4)), evening_of(FIRST + timedelta(days=200))) == ()


def test_a_curtain_hung_later_is_learned() -> None:
    old, new = days_of(5), days_of(6, FIRST + timedelta(days=60))
    seen = spells(old, 200.0, 230.0) + spells(new, 215.0, 230.0)
    (window,) = sun_windows(HOME, seen, evening_of(new[-1]))
    expected = expected_sun(HOME, window, new[-1], BERLIN)
    assert expected is not None
    assert minutes_between(expected.began_at, sunny_minutes(new[-1], 215.0, 230.0)[0]) < 4


def test_when_the_season_brings_another_edge_both_are_learned() -> None:
    def under_the_lintel(day: date) -> list[datetime]:
        return [at for at in sunny_minutes(day, 200.0, 255.0) if sun_position(HOME, at).elevation_deg <= 42.0]

    days = days_of(50, date(2026, 3, 10))  # the side lets it in until mid-April, then the top holds it back
    ats = [at for day in days for at in under_the_lintel(day)]
    (window,) = sun_windows(HOME, spells_of(ats), evening_of(days[-1]))
    assert len(window.comes) == 2
    for ahead in (1, 15, 30):
        day = days[-1] + timedelta(days=ahead)
        expected = expected_sun(HOME, window, day, BERLIN)
        assert expected is not None
        assert minutes_between(expected.began_at, under_the_lintel(day)[0]) < 5


def test_a_sun_that_no_longer_comes_that_way_is_a_value() -> None:
    winter = days_of(5, date(2026, 12, 10))
    (window,) = sun_windows(HOME, spells(winter), evening_of(winter[-1]))
    assert expected_sun(HOME, window, date(2027, 6, 21), BERLIN) is None  # half a year on it stands 47° higher


def test_a_polar_night_is_a_value() -> None:
    north = Place(70.0, 20.0)
    days = days_of(5)
    (window,) = sun_windows(north, spells(days, place=north), evening_of(days[-1]))
    assert expected_sun(north, window, date(2026, 12, 21), UTC) is None


def test_south_of_the_tropics_the_sun_goes_the_other_way_round() -> None:
    south = Place(-35.0, 150.0)
    days = days_of(5)
    ats = [at for day in days for at in sunny_minutes(day, 320.0, 345.0, south)]
    (window,) = sun_windows(south, spells_of(ats), ats[-1] + timedelta(hours=3))
    zone = ZoneInfo("Australia/Sydney")
    expected = expected_sun(south, window, days[-1], zone)
    assert expected is not None
    truth = sunny_minutes(days[-1], 320.0, 345.0, south)
    assert minutes_between(expected.began_at, truth[0]) < 4


def test_a_sun_that_is_there_at_midnight_begins_with_the_day() -> None:
    north = Place(70.0, 0.0)
    days = days_of(5, date(2026, 6, 15))
    ats = [datetime.combine(day, time(22, minute), UTC) for day in days for minute in range(0, 60, 5)]
    seen = [SunSpell(at, at + timedelta(hours=1, minutes=30)) for at in ats[::12]]
    (window,) = sun_windows(north, seen, ats[-1] + timedelta(hours=4))
    zone = ZoneInfo("Etc/GMT-1")  # local midnight falls into the spell
    expected = expected_sun(north, window, date(2026, 6, 22), zone)
    assert expected is not None
    assert expected.began_at == datetime(2026, 6, 21, 23, 0, tzinfo=UTC)


def test_a_height_beside_the_wall_is_straight_up() -> None:
    assert Sight("height", 180.0).of(SunPosition(20.0, 90.0)) == 90.0
    assert Sight("height", 180.0).of(SunPosition(20.0, 180.0)) == pytest.approx(20.0)


def test_an_edge_where_the_sun_stands_still_was_passed_just_now() -> None:
    still = SunPosition(40.0, 180.0)
    assert Edge(Sight("elevation"), 39.0, upwards=True).minutes_past(still, still) == 0.0


def test_days_on_which_the_sun_goes_opposite_ways_have_no_edge() -> None:
    # Within the tropics the noon sun passes north of the zenith on some days and south of it on others.
    there, back = SunPosition(88.0, 170.0), SunPosition(88.3, 190.0)
    ways = [Seen(there, back, 1.0), Seen(back, there, 1.0)]
    assert edges_of(ways, come=True) == ()
    seven = [Seen(SunPosition(40.0, 200.0), SunPosition(39.9, 200.6), 1.0) for _ in range(7)]
    late_ways = [Seen(SunPosition(30.0, 230.0), SunPosition(29.9, 230.6), 1.0)] + 3 * [
        Seen(SunPosition(30.0, 230.6), SunPosition(30.1, 230.0), 1.0)
    ]
    assert len(edges_of(seven + late_ways, come=True)) <= 1
