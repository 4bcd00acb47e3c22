"""Sugar and gas against published figures."""

import pytest
from scipy import constants

from station.domain.pressure import closed_pressure, co2_mol
from station.domain.sugar import sucrose_density_g_ml

# CRC Handbook of Chemistry and Physics, sucrose solutions at 20 °C: % by weight, g/mL.
DENSITIES = [(10, 1.0381), (20, 1.0810), (30, 1.1270), (40, 1.1764), (50, 1.2296)]


@pytest.mark.parametrize(("percent", "density"), DENSITIES)
def test_density_of_a_sucrose_solution_is_as_tabulated(percent, density):
    assert sucrose_density_g_ml(percent / 100) == pytest.approx(density, rel=0.0005)


def test_a_gram_of_sucrose_gives_280_ml_of_gas_at_20_c():
    # Stoichiometry, four CO₂ to a sucrose of 342.3 g/mol, and the molar volume of an ideal gas (CODATA, by scipy).
    molar_l = constants.R * 293.15 / constants.atm * 1000
    assert co2_mol(1.0) == pytest.approx(4 / 342.297, rel=1e-5)
    assert co2_mol(1.0) * molar_l == pytest.approx(0.28, abs=0.005)


def test_two_grams_in_a_litre_with_a_third_of_air_make_1_7_bar_if_nothing_dissolves():
    # The published figure leaves out what dissolves; with it, Henry's law (NIST) gives about a third of that.
    pressure = closed_pressure(2.0, 1000.0, 2000.0 / 3.0)
    assert pressure.most_bar == pytest.approx(1.7, abs=0.05)
    assert 0.5 < pressure.settled_bar < 0.7
