"""The shelf as a whole: which value speaks for which condition, and when the sensor is in the sun."""

from collections.abc import Iterable
from datetime import timedelta

from station.domain.conditions import Kind
from station.domain.guidance import Limits
from station.domain.readings import Mark, Reading
from station.domain.shelf import Judge, Shelf
from station.domain.sun import Place
from tests.builders import START, a_reading

NOON_MIN = 6 * 60
MIDNIGHT_MIN = 18 * 60
PLACE = Place(52.1, -4.0)


def lived(readings: Iterable[Reading], judge: Judge | None = None) -> Shelf:
    judge = judge or Judge(Limits(), PLACE)
    shelf = Shelf()
    for reading in readings:
        shelf = judge.judged(shelf, judge.marked(shelf, reading))
    return shelf


def raised(shelf: Shelf) -> set[Kind]:
    return {state.kind for state in shelf.states if state.raised}


def minutes(first: int, count: int, **values: object) -> list[Reading]:
    return [a_reading(first + number, **values) for number in range(count)]  # type: ignore[arg-type]


def test_an_ordinary_day_raises_nothing() -> None:
    assert raised(lived(minutes(0, 1440))) == set()


def test_a_cold_half_hour_is_cold_and_a_hot_one_hot() -> None:
    assert raised(lived(minutes(0, 31, temp_c=12.0))) == {Kind.COLD}
    assert raised(lived(minutes(0, 31, temp_c=28.0))) == {Kind.HOT}


def test_bright_light_by_day_is_sun_and_its_temperature_is_not_believed() -> None:
    shelf = lived(minutes(NOON_MIN, 60, light_lx=20_000.0, temp_c=35.0))
    assert Kind.SUN in raised(shelf)
    assert Kind.HOT not in raised(shelf)


def test_bright_light_at_night_is_a_lamp() -> None:
    assert Kind.SUN not in raised(lived(minutes(MIDNIGHT_MIN, 60, light_lx=20_000.0)))


def test_without_a_place_or_a_clock_so_much_light_can_only_be_the_sun() -> None:
    bright = minutes(MIDNIGHT_MIN, 30, light_lx=20_000.0)
    assert Kind.SUN in raised(lived(bright, Judge(Limits(), None)))
    untrusted = minutes(MIDNIGHT_MIN, 30, light_lx=20_000.0, trusted=False)
    assert Kind.SUN in raised(lived(untrusted))


def test_the_sensor_stays_doubted_until_the_sun_has_cleared() -> None:
    judge = Judge(Limits(), PLACE)
    shelf = lived(minutes(NOON_MIN, 30, light_lx=20_000.0), judge)
    after = a_reading(NOON_MIN + 31, light_lx=300.0, temp_c=31.0)
    assert judge.marked(shelf, after).marks & Mark.SUNLIT
    shelf = lived(minutes(NOON_MIN, 30, light_lx=20_000.0) + minutes(NOON_MIN + 30, 20, light_lx=300.0), judge)
    assert not judge.marked(shelf, after).marks & Mark.SUNLIT


def test_bright_is_a_two_hour_mean() -> None:
    assert Kind.BRIGHT not in raised(lived(minutes(NOON_MIN, 30, light_lx=1500.0)))
    assert Kind.BRIGHT in raised(lived(minutes(NOON_MIN, 90, light_lx=1500.0)))


def test_damp_goes_by_the_mould_critical_humidity_of_the_temperature() -> None:
    assert Kind.DAMP in raised(lived(minutes(0, 200, temp_c=18.0, rh_pct=78.0)))
    assert Kind.DAMP not in raised(lived(minutes(0, 200, temp_c=6.0, rh_pct=78.0)))


def test_ten_minutes_of_nothing_are_silent_and_three_good_minutes_end_it() -> None:
    nothing = {"temp_c": None, "rh_pct": None, "light_lx": None, "good": 0}
    assert raised(lived(minutes(0, 9, **nothing))) == set()
    assert raised(lived(minutes(0, 10, **nothing))) == {Kind.SILENT}
    assert raised(lived(minutes(0, 10, **nothing) + minutes(10, 2))) == {Kind.SILENT}
    assert raised(lived(minutes(0, 10, **nothing) + minutes(10, 3))) == set()


def test_silence_neither_raises_nor_clears_anything_else() -> None:
    nothing = {"temp_c": None, "rh_pct": None, "light_lx": None, "good": 0}
    assert raised(lived(minutes(0, 31, temp_c=12.0) + minutes(31, 300, **nothing))) == {Kind.COLD, Kind.SILENT}


def test_a_coarse_log_counts_the_time_each_row_stands_for() -> None:
    rows = [
        a_reading(60 * hour, temp_c=12.0, span_s=3600.0, measured_at=START + timedelta(hours=hour)) for hour in range(2)
    ]
    assert raised(lived(rows[:1])) == {Kind.COLD}
