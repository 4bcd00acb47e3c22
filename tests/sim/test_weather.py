from dataclasses import replace
from datetime import UTC, datetime
from statistics import fmean

import pytest

from sim.moisture import rh_pct
from sim.weather import Climate, Outside, Spell, Weather
from tests.sim.models import DAY_S, START

STEADY = Climate(system_swing_c=0.0, cloud=0.5)
HOUR_S = 3600.0


def weathered(
    climate: Climate, hours: int, start_at: datetime = START, lat_deg: float = 50.0, seed: int = 1
) -> list[Outside]:
    weather = Weather(climate, lat_deg, 0.0, start_at, seed)
    return [weather.step(HOUR_S * (hour + 1), HOUR_S) for hour in range(hours)]


def mean_c(hours: list[Outside]) -> float:
    return fmean(hour.temp_c for hour in hours)


def test_weather_repeats_with_its_seed_and_differs_with_another() -> None:
    assert weathered(STEADY, 100) == weathered(STEADY, 100)
    assert weathered(STEADY, 100) != weathered(STEADY, 100, seed=2)


def test_july_is_warmer_than_january_in_the_north_and_colder_in_the_south() -> None:
    january, july = datetime(2026, 1, 20, tzinfo=UTC), datetime(2026, 7, 20, tzinfo=UTC)
    north = mean_c(weathered(STEADY, 240, july)) - mean_c(weathered(STEADY, 240, january))
    south = mean_c(weathered(STEADY, 240, july, -50.0)) - mean_c(weathered(STEADY, 240, january, -50.0))
    assert north == pytest.approx(2 * STEADY.season_swing_c, abs=0.7)
    assert south == pytest.approx(-2 * STEADY.season_swing_c, abs=0.7)


def test_a_year_comes_back_to_its_mean() -> None:
    assert mean_c(weathered(STEADY, 8766)) == pytest.approx(STEADY.mean_c, abs=0.3)


def test_the_afternoon_is_warmest_by_the_sun_of_the_place() -> None:
    midnight = datetime(2026, 5, 4, tzinfo=UTC)
    hours = weathered(STEADY, 24 * 60, midnight)
    by_hour = [mean_c(hours[hour::24]) for hour in range(24)]
    assert 13 <= by_hour.index(max(by_hour)) + 1 <= 17


def test_the_sky_is_covered_as_much_as_the_climate_says() -> None:
    hours = weathered(replace(STEADY, cloud=0.3), 20_000)
    assert fmean(hour.cover for hour in hours) == pytest.approx(0.3, abs=0.03)
    assert fmean(hour.sun_covered for hour in hours) == pytest.approx(0.3, abs=0.03)


def test_air_outside_never_holds_more_water_than_it_can() -> None:
    assert all(0.0 < rh_pct(hour.moisture_gm3, hour.temp_c) <= 100.0 for hour in weathered(Climate(), 8766))


def test_a_spell_comes_and_goes() -> None:
    spell = Spell((2.0, 5.0), temp_c=10.0)
    plain, changed = weathered(STEADY, 168), weathered(replace(STEADY, spells=(spell,)), 168)
    warmer = [b.temp_c - a.temp_c for a, b in zip(plain, changed, strict=True)]
    assert warmer[:48] == pytest.approx([0.0] * 48)
    assert max(warmer) == pytest.approx(10.0)
    assert warmer[121:] == pytest.approx([0.0] * 47)


def test_a_spell_can_clear_the_sky() -> None:
    clear = Spell((0.0, 20.0), cloud_steps=-4.0)
    hours = weathered(replace(STEADY, spells=(clear,)), 400)
    assert fmean(hour.cover for hour in hours[24:]) < 0.1


def test_the_ground_lags_behind_the_air_and_swings_less() -> None:
    year = weathered(STEADY, 8766, datetime(2026, 1, 1, tzinfo=UTC))
    ground = [hour.ground_c for hour in year]
    assert max(ground) - min(ground) == pytest.approx(0.8 * STEADY.season_swing_c, rel=0.01)
    assert ground.index(max(ground)) * HOUR_S / DAY_S == pytest.approx(245, abs=3)
