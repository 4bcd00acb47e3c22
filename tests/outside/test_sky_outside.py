import math

import pandas as pd
import pvlib
import pytest

from sim.moisture import vapour_pressure_pa
from sim.sky import air_mass, clear_beam_wm2, clear_global_wm2, sky
from station.domain.sun import Place, sun_position

HEIGHTS_DEG = (5.0, 10.0, 20.0, 30.0, 45.0, 60.0, 75.0, 90.0)


def test_a_clear_midsummer_noon_is_as_bright_as_two_published_models_say() -> None:
    # 52.1 N 4.0 W, 2026-06-21 12:00 UTC: 899 W/m² (Haurwitz), 850 (Ineichen), both by pvlib.
    noon = pd.Timestamp("2026-06-21 12:00", tz="UTC")
    height_deg = sun_position(Place(52.1, -4.0), noon.to_pydatetime()).elevation_deg
    assert clear_global_wm2(height_deg) == pytest.approx(899.0, rel=0.005)
    assert clear_global_wm2(height_deg) == pytest.approx(850.0, rel=0.08)


@pytest.mark.parametrize("height_deg", HEIGHTS_DEG)
def test_air_mass_and_clear_global_agree_with_pvlib(height_deg: float) -> None:
    assert air_mass(height_deg) == pytest.approx(pvlib.atmosphere.get_relative_airmass(90.0 - height_deg), rel=1e-3)
    haurwitz = pvlib.clearsky.haurwitz(pd.Series([90.0 - height_deg]))["ghi"].iloc[0]
    assert clear_global_wm2(height_deg) == pytest.approx(haurwitz, rel=0.01)


@pytest.mark.parametrize("height_deg", HEIGHTS_DEG)
def test_the_direct_sun_of_a_clear_sky_lies_near_a_finer_model(height_deg: float) -> None:
    # pvlib's simplified Solis model (Ineichen 2008), aerosol 0.1, 1.5 cm of water: a clean mid-latitude sky.
    finer = pvlib.clearsky.simplified_solis(height_deg, aod700=0.1, precipitable_water=1.5)
    assert clear_beam_wm2(height_deg) == pytest.approx(float(finer["dni"]), rel=0.15)


def test_outdoor_light_lies_where_lighting_tables_put_it() -> None:
    # Lighting tables: direct sun 32,000 to 100,000 lx, an overcast day about 1,000 (dull) to 20,000 (bright).
    high = sky(60.0, 0.0, sun_covered=False)
    assert 32_000.0 < high.beam_lx < 100_000.0
    assert 1_000.0 < sky(10.0, 1.0, sun_covered=True).global_lx < sky(60.0, 1.0, sun_covered=True).global_lx < 30_000.0


def test_global_light_per_watt_is_near_the_published_mean() -> None:
    # Littlefair 1988: about 108 lm/W for global daylight.
    clear, overcast = sky(45.0, 0.0, sun_covered=False), sky(45.0, 1.0, sun_covered=True)
    mean = 0.5 * (clear.global_lx / clear.global_wm2 + overcast.global_lx / overcast.global_wm2)
    assert mean == pytest.approx(108.0, rel=0.06)


@pytest.mark.parametrize(("temp_c", "pressure_pa"), [(5.0, 872.6), (25.0, 3169.7), (50.0, 12351.3)])
def test_the_model_world_s_vapour_pressure_is_ashrae_s(temp_c: float, pressure_pa: float) -> None:
    # ASHRAE Handbook 2017, tables of saturation pressure.
    assert vapour_pressure_pa(temp_c) == pytest.approx(pressure_pa, rel=2e-4)


@pytest.mark.parametrize(("temp_c", "kpa"), [(10.0, 1.228), (15.0, 1.706), (20.0, 2.339), (30.0, 4.246)])
def test_the_model_world_s_vapour_pressure_is_in_the_handbook_of_chemistry(temp_c: float, kpa: float) -> None:
    # CRC Handbook, vapour pressure of water.
    assert vapour_pressure_pa(temp_c) / 1000.0 == pytest.approx(kpa, abs=0.0006)
    assert math.isfinite(vapour_pressure_pa(-40.0))
