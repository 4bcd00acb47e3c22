"""Was this a good spot? The sums, and the one sentence."""

from typing import Any

import pytest

from station.domain.conditions import Kind
from station.domain.guidance import Limits
from station.domain.shelf import Judge
from station.domain.survey import Spot, spot_verdict, surveyed
from station.domain.survey_words import spot_rows
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


def rows(spot: Spot) -> dict[str, str]:
    return dict(spot_rows(spot, "C"))


def test_what_was_not_measured_is_not_told_as_none() -> None:
    spot = a_spot(light_lx=None, rh_pct=None)

    assert [rows(spot)[name] for name in ("sun", "bright", "damp")] == ["not measured"] * 3
    assert rows(spot)["cold"] == "0.0 h (0 %)"
    assert spot_verdict(spot) == (
        "A good spot: in the good range for 100 % of the time. Light was not measured: nothing is known of sun. "
        "Humidity was not measured: nothing is known of damp."
    )
    assert [rows(a_spot(temp_c=None))[name] for name in ("good range", "cold", "hot")] == ["not measured"] * 3
    assert rows(a_spot(light_lx=100.0))["sun"] == "0.0 h (0 %)"


def test_the_good_range_is_named_and_is_a_share_of_the_hours_whose_temperature_is_known() -> None:
    """Half of the time lies in direct sun, where the air's temperature is not known; the rest is all at 20 °C."""
    spot = surveyed((a_reading(minute, light_lx=9000.0 * (minute < 1440)) for minute in range(2880)), Judge(Limits()))

    # Sun clears after 15 minutes of shade, and the minute that fills them is not believed either: 24 h less 16 min.
    assert rows(spot)["temperature known"] == "23.7 h (49 %)"
    assert rows(spot)["good range"] == "23.7 h (100 %) at 18.3 to 23.9 °C"
    assert dict(spot_rows(spot, "F"))["good range"].endswith("at 64.9 to 75.0 °F")


def test_a_day_added_up_minute_by_minute_is_a_day() -> None:
    """Adding 1/60 h up 1,440 times gives 23.99999999999992: that is no reason to ask for 24 hours."""
    assert sum([60.0 / 3600.0] * 1440) < 24.0
    assert a_spot(hours=24).covered_h == 24.0
    assert not spot_verdict(a_spot(hours=24)).startswith("Not enough")
    assert spot_verdict(a_spot(hours=23)) == (
        "Not enough to judge by: hours in which anything was measured count, and there are 23.0; at least 24 are "
        "needed."
    )


@pytest.mark.parametrize(
    ("values", "kind"),
    [({"temp_c": 12.0}, Kind.COLD), ({"light_lx": 9000.0}, Kind.SUN), ({"rh_pct": 90.0}, Kind.DAMP)],
)
def test_a_condition_that_stays_raised_while_nothing_is_measured_lasts_no_longer_than_was_measured(
    values: dict[str, float], kind: Kind
) -> None:
    """A bad sample does not clear a condition; but ten silent days after a cold one were "too cold for 898 %"."""
    measured = [a_reading(minute, **values) for minute in range(30 * 60)]
    silent = [a_reading(minute, None, rh_pct=None, light_lx=None) for minute in range(30 * 60, 270 * 60)]
    spot = surveyed([*measured, *silent], Judge(Limits()))

    assert spot.covered_h == 30.0
    assert spot.condition_h[kind] == pytest.approx(surveyed(measured, Judge(Limits())).condition_h[kind])
    assert spot.share(kind) <= 1.0
