from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.air import (
    absolute_humidity_g_m3,
    celsius,
    dew_point_c,
    fahrenheit,
    mould_critical_rh_pct,
    saturation_pressure_pa,
)
from station.errors import JarsideError

temperatures = st.floats(-40, 80)
humidities = st.floats(0.1, 100)


@given(temp_c=temperatures, rh_pct=humidities)
def test_air_cooled_to_its_dew_point_is_saturated(temp_c, rh_pct):
    dew_c = dew_point_c(temp_c, rh_pct)
    assert dew_c <= temp_c
    if dew_c >= -40:
        vapour_pa = rh_pct / 100 * saturation_pressure_pa(temp_c)
        assert saturation_pressure_pa(dew_c) == pytest.approx(vapour_pa, rel=1e-9)


@given(temp_c=st.floats(-40, 79), rh_pct=st.floats(0.1, 99))
def test_warmer_or_moister_air_holds_more_water(temp_c, rh_pct):
    water = absolute_humidity_g_m3(temp_c, rh_pct)
    assert absolute_humidity_g_m3(temp_c + 1, rh_pct) > water
    assert absolute_humidity_g_m3(temp_c, rh_pct + 1) > water
    assert dew_point_c(temp_c, rh_pct + 1) > dew_point_c(temp_c, rh_pct)


def test_dry_air_has_no_dew_point_and_no_water():
    assert dew_point_c(20, 0) is None
    assert absolute_humidity_g_m3(20, 0) == 0


@pytest.mark.parametrize("rh_pct", [100, 100.4, 105])
def test_a_sensor_that_reads_a_little_above_saturation_means_saturated_air(rh_pct):
    assert dew_point_c(12.3, rh_pct) == pytest.approx(12.3, abs=1e-9)
    assert absolute_humidity_g_m3(12.3, rh_pct) == absolute_humidity_g_m3(12.3, 100)


@pytest.mark.parametrize("rh_pct", [-0.1, 105.1, 130, nan, inf])
@pytest.mark.parametrize("formula", [dew_point_c, absolute_humidity_g_m3])
def test_a_humidity_that_no_air_has_is_refused(formula, rh_pct):
    with pytest.raises(JarsideError) as refused:
        formula(20, rh_pct)
    assert str(rh_pct) in refused.value.what
    assert refused.value.remedy


@pytest.mark.parametrize("temp_c", [-40.1, 80.1, 400, nan, -inf])
@pytest.mark.parametrize(
    "formula",
    [
        saturation_pressure_pa,
        mould_critical_rh_pct,
        lambda temp_c: dew_point_c(temp_c, 50),
        lambda temp_c: absolute_humidity_g_m3(temp_c, 50),
    ],
)
def test_a_temperature_outside_the_formulas_is_refused(formula, temp_c):
    with pytest.raises(JarsideError) as refused:
        formula(temp_c)
    assert str(temp_c) in refused.value.what
    assert refused.value.remedy


@given(st.floats(0, 80))
def test_mould_needs_between_80_and_100_percent_above_freezing(temp_c):
    assert 80 <= mould_critical_rh_pct(temp_c) <= 100


@given(st.floats(-40, 15))
def test_mould_needs_less_humidity_where_it_is_warmer(temp_c):
    assert mould_critical_rh_pct(temp_c + 0.1) < mould_critical_rh_pct(temp_c)


@given(st.floats(15.1, 80))
def test_from_15_degrees_on_mould_needs_80_percent(temp_c):
    assert 80 <= mould_critical_rh_pct(temp_c) <= 80.05  # the source's cubic ends at 80.04


def test_below_freezing_no_humidity_is_enough_for_mould():
    assert mould_critical_rh_pct(-5) > 100


@pytest.mark.parametrize(("temp_c", "temp_f"), [(-40, -40), (0, 32), (15.555556, 60), (26.666667, 80), (100, 212)])
def test_degrees_convert_both_ways(temp_c, temp_f):
    assert fahrenheit(temp_c) == pytest.approx(temp_f, abs=1e-5)
    assert celsius(temp_f) == pytest.approx(temp_c, abs=1e-5)
