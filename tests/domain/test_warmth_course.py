"""The course of a jar's warmth, held to its definition: 24 h at 20 °C are one warm-day (design of the project)."""

from datetime import timedelta

import pytest

from station.domain.warmth import followed, fresh
from station.domain.warmth_course import ShelfStep, warmth_course
from tests.builders import START, a_reading

HOUR = timedelta(hours=1)


def hours_at(temp_c: float, hours: int, from_hour: int = 0) -> list[ShelfStep]:
    return [ShelfStep(START + HOUR * (from_hour + n), 3600.0, temp_c) for n in range(hours)]


def test_a_day_at_20_degrees_is_a_warm_day_and_half_a_day_half_of_it() -> None:
    course = warmth_course(hours_at(20.0, 24), START, START + 24 * HOUR, tau_s=3.3 * 3600)

    assert course[0].warm_days == 0.0
    assert course[12].warm_days == pytest.approx(0.5)
    assert (course[-1].at, course[-1].warm_days) == (START + 24 * HOUR, pytest.approx(1.0))


def test_steps_before_the_packing_and_after_the_end_add_nothing() -> None:
    course = warmth_course(hours_at(20.0, 48), START + 12 * HOUR, START + 36.5 * HOUR, tau_s=0.0)

    assert course[0].at == START + 12 * HOUR
    assert course[-1].at == START + 36.5 * HOUR
    assert course[-1].warm_days == pytest.approx(24.5 / 24.0)


def test_a_gap_is_bridged_for_two_hours_and_no_more() -> None:
    steps = hours_at(20.0, 6) + hours_at(20.0, 6, from_hour=18)
    course = warmth_course(steps, START, START + 24 * HOUR, tau_s=0.0)

    assert course[-1].warm_days == pytest.approx((6 + 2 + 6) / 24.0)


def test_below_the_base_nothing_is_added_and_the_course_never_falls() -> None:
    course = warmth_course(hours_at(20.0, 6) + hours_at(2.0, 48, from_hour=6), START, START + 54 * HOUR, 3.3 * 3600)

    days = [point.warm_days for point in course]
    assert days == sorted(days)
    assert days[-1] == pytest.approx(days[-24])


def test_another_base_tells_another_warmth_of_the_same_shelf() -> None:
    """By arithmetic: (12 − 4) / (20 − 4) and (12 − 7) / (20 − 7) warm-days in a day."""
    courses = [warmth_course(hours_at(12.0, 24), START, START + 24 * HOUR, 0.0, base_c=base_c) for base_c in (4.0, 7.0)]

    assert [course[-1].warm_days for course in courses] == pytest.approx([8 / 16, 5 / 13])


def test_the_course_ends_at_what_the_station_counted() -> None:
    course = warmth_course(hours_at(20.0, 24), START, START + 24 * HOUR, 0.0, warm_days=1.1)

    assert course[-1].warm_days == pytest.approx(1.1)
    assert course[12].warm_days == pytest.approx(0.55)


def test_hourly_steps_lead_where_the_stations_own_minutes_lead() -> None:
    """Against the station's own line, minute by minute: two ways to one number."""
    heat = fresh(START)
    for minute in range(1, 60 * 30 + 1):
        heat = followed(heat, a_reading(minute, temp_c=15.0 if minute <= 600 else 22.0), 3.3 * 3600)
    course = warmth_course(hours_at(15.0, 10) + hours_at(22.0, 20, 10), START, START + 30 * HOUR, 3.3 * 3600)

    assert course[-1].warm_days == pytest.approx(heat.warmth.warm_days(), rel=0.01)


def test_without_a_step_there_is_only_the_packing() -> None:
    assert [point.warm_days for point in warmth_course([], START, START + HOUR, 0.0, warm_days=0.3)] == [0.0]
