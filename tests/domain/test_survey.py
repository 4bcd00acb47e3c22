"""Was this a good spot? The sums, and the one sentence."""

from typing import Any

import pytest

from station.domain.conditions import Kind
from station.domain.guidance import Limits
from station.domain.shelf import Judge
from station.domain.survey import Spot, spot_verdict, surveyed
from tests.builders import a_reading


def a_spot(hours: int = 48, **values: Any) -> Spot:
    return surveyed((a_reading(minute, **values) for minute in range(hours * 60)), Judge(Limits()))


def test_an_even_twenty_degrees_is_a_good_spot() -> None:
    spot = a_spot()
    assert spot.measured_h == pytest.approx(48.0)
    assert spot.good_h == pytest.approx(48.0)
    assert spot.warm_days_a_day == pytest.approx(1.0)
    assert spot_verdict(spot).startswith("A good spot")


@pytest.mark.parametrize(
    ("values", "kind", "word"),
    [
        ({"temp_c": 12.0}, Kind.COLD, "too cold"),
        ({"temp_c": 29.0}, Kind.HOT, "too warm"),
        ({"light_lx": 9000.0}, Kind.SUN, "sun"),
        ({"rh_pct": 85.0}, Kind.DAMP, "mould"),
        ({"light_lx": 2000.0}, Kind.BRIGHT, "bright"),
    ],
)
def test_a_spot_with_a_lasting_fault_is_named_by_it(values: dict[str, float], kind: Kind, word: str) -> None:
    spot = a_spot(**values)
    assert spot.share(kind) > 0.9
    assert word in spot_verdict(spot)
    assert spot_verdict(spot).startswith("Not a good spot")


def test_a_little_cool_is_fair() -> None:
    assert spot_verdict(a_spot(temp_c=17.0)).startswith("A fair spot, a little cool")
    assert spot_verdict(a_spot(temp_c=25.0)).startswith("A fair spot, a little warm")


def test_an_hour_of_sun_a_day_makes_a_spot_only_fair() -> None:
    readings = [a_reading(minute, light_lx=9000.0 if minute % 1440 < 60 else 100.0) for minute in range(3 * 1440)]
    spot = surveyed(readings, Judge(Limits()))
    assert spot_verdict(spot).startswith("A fair spot, but direct sun")
    assert spot.sunlit_h > 3.0


def test_a_log_of_light_alone_says_what_it_can() -> None:
    assert spot_verdict(a_spot(temp_c=None)).startswith("No temperature was measured")


def test_too_short_a_log_is_not_judged() -> None:
    assert spot_verdict(a_spot(hours=5)).startswith("Not enough")
    assert spot_verdict(surveyed([], Judge(Limits()))).startswith("Not enough")


def test_time_without_a_temperature_is_not_counted() -> None:
    spot = surveyed([a_reading(minute, temp_c=None) for minute in range(600)], Judge(Limits()))
    assert spot.measured_h == 0.0
    assert spot.covered_h == pytest.approx(10.0)
    assert spot.mean_c is None
    assert spot.warm_days_a_day is None
    assert spot.share(Kind.COLD) == 0.0
