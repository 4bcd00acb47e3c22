"""The humidities over damp salts against the published fits."""

from math import exp

import pytest

from station.domain.salts import Salt, salt_rh_pct

# %RH at 15, 20, 25 and 30 °C, the table of Greenspan 1977, J. Res. Natl. Bur. Stand. 81A, 89.
TABLE_PCT = {
    Salt.LITHIUM_CHLORIDE: (11.31, 11.31, 11.30, 11.29),
    Salt.MAGNESIUM_CHLORIDE: (33.30, 33.07, 32.79, 32.45),
    Salt.SODIUM_CHLORIDE: (75.61, 75.48, 75.30, 75.09),
    Salt.POTASSIUM_CHLORIDE: (85.92, 85.11, 84.35, 83.63),
}

# %RH = A0 + A1·t + A2·t² + A3·t³, the fits behind that table (same paper). The A1 of lithium chloride is often copied
# with a minus, with which it misses the table by 0.5.
FITS = {
    Salt.LITHIUM_CHLORIDE: (11.2323, 0.00824245, -0.214890e-3, 0.0),
    Salt.MAGNESIUM_CHLORIDE: (33.6686, -0.00797397, -0.108988e-2, 0.0),
    Salt.SODIUM_CHLORIDE: (75.5164, 0.0398321, -0.265459e-2, 0.2848e-4),
    Salt.POTASSIUM_CHLORIDE: (88.6190, -0.193340, 0.899706e-3, 0.0),
}

# %RH = A·exp(B/T) and the °C it holds for, good to 2 %: CRC Handbook of Chemistry and Physics, Constant Humidity
# Solutions.
CRC = {
    Salt.LITHIUM_CHLORIDE: (14.53, -75, 20, 30),
    Salt.MAGNESIUM_CHLORIDE: (29.26, 34, 15, 30),
    Salt.SODIUM_CHLORIDE: (69.20, 25, 15, 30),
    Salt.POTASSIUM_CHLORIDE: (49.38, 159, 15, 25),
}


@pytest.mark.parametrize("salt", Salt)
def test_each_salt_is_as_greenspans_table(salt):
    for temp_c, rh_pct in zip((15, 20, 25, 30), TABLE_PCT[salt], strict=True):
        assert salt_rh_pct(salt, temp_c) == pytest.approx(rh_pct, abs=0.5)


@pytest.mark.parametrize("salt", Salt)
@pytest.mark.parametrize("temp_c", range(15, 31))
def test_each_salt_follows_greenspans_fit_between_the_tables_points(salt, temp_c):
    fit_pct = sum(factor * temp_c**power for power, factor in enumerate(FITS[salt]))
    assert salt_rh_pct(salt, temp_c) == pytest.approx(fit_pct, abs=0.5)


@pytest.mark.parametrize("salt", Salt)
def test_each_salt_is_near_the_handbooks_formula(salt):
    factor, exponent_k, low_c, high_c = CRC[salt]
    for temp_c in range(low_c, high_c + 1):
        assert salt_rh_pct(salt, temp_c) == pytest.approx(factor * exp(exponent_k / (temp_c + 273.15)), abs=2)
