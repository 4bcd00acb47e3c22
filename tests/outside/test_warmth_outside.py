"""Warmth against degree-day tables, closed forms and a year of measured hours."""

import itertools
import math
from datetime import UTC, timedelta

import pytest
from vega_datasets import local_data

from station.domain.readings import Reading
from station.domain.warmth import approach, degree_hours, followed_all, fresh

NO_CAP_C = 1000.0


def day_of_samples(low: float, high: float, samples: int) -> list[float]:
    """A day's course as a sine; 24 samples are on the hour."""
    middle, swing = (low + high) / 2, (high - low) / 2
    return [middle + swing * math.sin(2 * math.pi * k / samples) for k in range(samples)]


def degree_days(low: float, high: float, base: float, cap: float = NO_CAP_C, samples: int = 24) -> float:
    """Degree-days of such a day by the station's own clamped integral, each sample clamped by itself."""
    span_s = 86400.0 / samples
    temps = day_of_samples(low, high, samples)
    return sum(degree_hours(approach(temp, temp, span_s, 0.0), base, cap) for temp in temps) / 24.0


OJAI = [
    (7.8, 19.4, 4.4, 2.72, 2.53),
    (4.4, 22.2, 3.3, 3.51, 3.45),
    (1.1, 16.1, 5.6, 0.94, 1.04),
    (2.8, 22.8, 15.0, 3.59, 5.25),
    (15.0, 23.9, 16.1, 7.45, 7.73),
    (18.3, 28.9, 3.9, 11.60, 9.01),
    (10.6, 38.9, 14.4, 11.71, 12.55),
    (14.4, 39.4, 15.0, 13.49, 13.63),
    (9.4, 34.4, 13.9, 10.12, 11.06),
    (13.9, 36.1, 15.0, 12.50, 12.77),
]
"""UC IPM's degree-day calculator, Ojai 2016, lower 12 °C, upper 33 °C, horizontal cutoff: minimum, maximum, the next
day's minimum, single sine, double sine."""


@pytest.mark.parametrize(("low", "high", "after", "single", "double"), OJAI)
def test_hourly_clamped_samples_agree_with_the_university_table(
    low: float, high: float, after: float, single: float, double: float
) -> None:
    """Within 0.012 with hourly samples; within the table's own rounding with a sample a minute."""
    for samples, within in ((24, 0.012), (1440, 0.0055)):
        first, second = (degree_days(one, high, 12.0, 33.0, samples) for one in (low, after))
        assert first == pytest.approx(single, abs=within)
        assert 0.5 * (first + second) == pytest.approx(double, abs=within)


@pytest.mark.parametrize(
    ("low", "high", "base", "expected"),
    [(5.0, 25.0, 10.0, 6.089978), (8.0, 18.0, 10.0, 3.387738), (10.0, 28.0, 15.0, 5.152692), (34.0, 60.0, 50.0, 2.749)],
)
def test_the_integral_approaches_the_closed_form_single_sine(
    low: float, high: float, base: float, expected: float
) -> None:
    """Closed form of the single-sine method, recomputed; the last pair is in °F."""
    assert degree_days(low, high, base, samples=1440) == pytest.approx(expected, abs=5e-4)


def test_a_mean_of_64_less_a_base_of_53_is_eleven_degree_days() -> None:
    """UC IPM's own example, °F."""
    assert degree_hours(approach(64.0, 64.0, 86400.0, 0.0), 53.0, NO_CAP_C) / 24 == pytest.approx(11.0)


def test_clamping_comes_before_averaging() -> None:
    """McMaster & Wilhelm 1997: minimum −5, maximum 15, base 0: 7.5 when clamped first, 5.0 when averaged first."""
    halves = [degree_hours(approach(temp, temp, 43200.0, 0.0), 0.0, NO_CAP_C) for temp in (-5.0, 15.0)]
    assert sum(halves) / 24 == pytest.approx(7.5)


def test_two_days_of_hours_give_seventy_degree_hours() -> None:
    hours = [10, 12, 14, 18, 22, 25, 24, 20, 16, 12, 11, 10] * 2
    assert sum(degree_hours(approach(temp, temp, 3600.0, 0.0), 15.0) for temp in hours) == pytest.approx(70.0)


def a_year(name: str) -> list[Reading]:
    """The hourly temperatures of 2010 that vega_datasets carries, °F in the file."""
    table = getattr(local_data, name)()
    times = [at.to_pydatetime().replace(tzinfo=UTC) for at in table["date"]]
    return [
        Reading(at, "log", (at - times[0]).total_seconds(), (float(temp_f) - 32.0) / 1.8, span_s=3600.0)
        for at, temp_f in zip(times, table["temp"], strict=True)
    ]


@pytest.mark.parametrize(("name", "expected_ch"), [("sf_temps", 34_816.44), ("seattle_temps", 24_800.5)])
def test_a_year_of_hours_sums_up_and_its_missing_hour_is_bridged(name: str, expected_ch: float) -> None:
    """Sums over 10 °C of the two files (vega_datasets 0.9), recomputed with pandas; 2010-03-14 03:00 is missing."""
    year = a_year(name)
    gaps = [
        (before, after)
        for before, after in itertools.pairwise(year)
        if after.measured_at - before.measured_at > timedelta(hours=1)
    ]
    heat = followed_all(fresh(year[0].measured_at - timedelta(hours=1)), year, tau_s=0.0)
    bridged_ch = sum(max((before.temp_c or 0.0) - 10.0, 0.0) for before, _ in gaps)
    assert len(year) == 8759
    assert heat.warmth.observed_h == pytest.approx(8759.0)
    assert heat.warmth.bridged_h == pytest.approx(float(len(gaps)))
    assert len(gaps) == 1
    assert heat.warmth.missing_h == 0.0
    assert heat.warmth.degree_hours(10.0) - bridged_ch == pytest.approx(expected_ch, abs=0.06)
