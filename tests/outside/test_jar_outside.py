import math

import pytest

from sim.jar import Jar, WorkingJar, time_constant_s

HOUR_S = 3600.0


def hours_to_cool(jar: Jar, start_c: float, end_c: float, room_c: float) -> float:
    working = WorkingJar(jar, seed=1)
    working.step(0.0, 60.0, start_c, 0.0)
    for minute in range(1, 24 * 60):
        if working.step(60.0 * minute, 60.0, room_c, 0.0).temp_c <= end_c:
            return minute / 60.0
    return math.inf


def test_a_full_litre_cools_as_published() -> None:
    # Covered 1 L jar, ISO 6946 films: 4,550 J/K, time constant 3.3 h (2.5 to 4); 30 to 25 °C in a 20 °C room in 2.3 h.
    full = Jar("full", "dandelion", jar_ml=1000.0, fill=1.0)
    assert time_constant_s(1000.0, 1.0) == pytest.approx(3.3 * HOUR_S, rel=0.001)
    assert hours_to_cool(full, 30.0, 25.0, 20.0) == pytest.approx(2.3, abs=0.05)


def test_jars_as_people_pack_them_stay_near_the_published_range() -> None:
    # A third left empty (common practice) in jars of half a litre to two litres: near 2.5 to 4 h.
    for jar_ml in (500.0, 1000.0, 2000.0):
        assert 1.7 * HOUR_S < time_constant_s(jar_ml, 0.67) < 4.0 * HOUR_S
