"""The moist-air formulas against tables and against psychrolib and MetPy."""

import psychrolib
import pytest
from metpy import calc
from metpy.constants import water_gas_constant
from metpy.units import units

from station.domain.air import absolute_humidity_g_m3, dew_point_c, mould_critical_rh_pct, saturation_pressure_pa

SEA_LEVEL_PA = 101_325
GRID = [(temp_c, rh_pct) for temp_c in range(0, 41, 4) for rh_pct in range(20, 96, 5)]


@pytest.fixture(autouse=True)
def psychrolib_in_si():
    # It keeps its system of units in a global.
    psychrolib.SetUnitSystem(psychrolib.SI)


# 5, 25 and 50 °C: ASHRAE Handbook, Fundamentals 2017, chapter 1, table 3.
# 10, 15, 20 and 30 °C: CRC Handbook of Chemistry and Physics, vapour pressure of water.
SATURATION_PA = [(5, 872.6), (25, 3169.7), (50, 12351.3), (10, 1228), (15, 1706), (20, 2339), (30, 4246)]


@pytest.mark.parametrize(("temp_c", "pressure_pa"), SATURATION_PA)
def test_saturation_pressure_is_as_tabled(temp_c, pressure_pa):
    assert saturation_pressure_pa(temp_c) == pytest.approx(pressure_pa, rel=0.003)


@pytest.mark.parametrize("temp_c", range(10, 31))
def test_saturation_pressure_is_too_low_by_as_little_as_documented(temp_c):
    exact_pa = psychrolib.GetSatVapPres(temp_c)
    assert 0.0016 <= round(1 - saturation_pressure_pa(temp_c) / exact_pa, 4) <= 0.0024


# Computed with psychrolib 2.5.
POINTS = [
    (20, 50, 9.27, 8.64),
    (25, 60, 16.70, 13.82),
    (15, 60, 7.31, 7.70),
    (30, 80, 26.17, 24.28),
    (10, 80, 6.71, 7.52),
]


@pytest.mark.parametrize(("temp_c", "rh_pct", "dew_c", "water_g_m3"), POINTS)
def test_dew_point_and_water_at_common_points(temp_c, rh_pct, dew_c, water_g_m3):
    assert dew_point_c(temp_c, rh_pct) == pytest.approx(dew_c, abs=0.05)
    assert absolute_humidity_g_m3(temp_c, rh_pct) == pytest.approx(water_g_m3, rel=0.003)


@pytest.mark.parametrize(("temp_c", "rh_pct"), [point for point in GRID if dew_point_c(*point) > 0.1])
def test_dew_point_agrees_with_psychrolib(temp_c, rh_pct):
    exact_c = psychrolib.GetTDewPointFromRelHum(temp_c, rh_pct / 100)
    assert dew_point_c(temp_c, rh_pct) == pytest.approx(exact_c, abs=0.05)


@pytest.mark.parametrize(("temp_c", "rh_pct"), GRID)
def test_water_in_the_air_agrees_with_psychrolib(temp_c, rh_pct):
    ratio = psychrolib.GetHumRatioFromRelHum(temp_c, rh_pct / 100, SEA_LEVEL_PA)
    exact_g_m3 = 1000 * ratio / psychrolib.GetMoistAirVolume(temp_c, ratio, SEA_LEVEL_PA)
    assert absolute_humidity_g_m3(temp_c, rh_pct) == pytest.approx(exact_g_m3, rel=0.003)


def metpy_dew_point_c(temp_c, rh_pct):
    return calc.dewpoint_from_relative_humidity(units.Quantity(temp_c, "degC"), rh_pct * units.percent).m_as("degC")


def test_dew_point_agrees_with_metpy():
    for temp_c, rh_pct in GRID:
        assert dew_point_c(temp_c, rh_pct) == pytest.approx(metpy_dew_point_c(temp_c, rh_pct), abs=0.12)


def test_below_freezing_the_dew_point_is_over_water_as_metpys():
    # psychrolib gives the frost point there. In air below -10 °C the two solutions part by more than 0.02 °C.
    cold = [(temp_c, rh_pct) for temp_c in (-10, -5, -1) for rh_pct in (20, 40, 60, 80, 95)]
    below = cold + [point for point in GRID if dew_point_c(*point) < 0]
    assert len(below) > len(cold)
    for temp_c, rh_pct in below:
        assert dew_point_c(temp_c, rh_pct) == pytest.approx(metpy_dew_point_c(temp_c, rh_pct), abs=0.02)


def test_water_in_the_air_agrees_with_metpy():
    for temp_c, rh_pct in GRID:
        temp = units.Quantity(temp_c, "degC")
        vapour = calc.saturation_vapor_pressure(temp) * rh_pct / 100
        exact = (vapour / (water_gas_constant * temp.to("K"))).m_as("g/m^3")
        assert absolute_humidity_g_m3(temp_c, rh_pct) == pytest.approx(exact, rel=0.005)


# Hukka & Viitanen 1999, Wood Sci. Technol. 33, 475: their cubic, and 80 above 20 °C.
@pytest.mark.parametrize(("temp_c", "rh_pct"), [(0, 100), (5, 88.0), (10, 82.0), (15, 80.0), (25, 80), (40, 80)])
def test_mould_critical_humidity_is_as_published(temp_c, rh_pct):
    assert mould_critical_rh_pct(temp_c) == pytest.approx(rh_pct, abs=0.06)


def test_mould_critical_humidity_does_not_dip_below_80():
    assert mould_critical_rh_pct(17) == 80
