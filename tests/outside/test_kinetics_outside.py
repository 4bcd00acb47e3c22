"""The simulator's truth against the published cardinal temperature model of S. cerevisiae."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from sim.kinetics import relative_rate, share_of_optimum

# Rosso et al. 1993 with Salvadó et al. 2011's cardinals (Tmin 2.8, Topt 32.3, Tmax 45.4), relative to 20 °C.
RATIOS = [
    (10, 0.227),
    (12, 0.354),
    (15, 0.580),
    (18, 0.830),
    (20, 1.0),
    (22, 1.166),
    (25, 1.392),
    (28, 1.567),
    (30, 1.643),
]


@pytest.mark.parametrize(("temp_c", "ratio"), RATIOS)
def test_rate_relative_to_20_c_is_as_published(temp_c, ratio):
    assert relative_rate(temp_c) == pytest.approx(ratio, abs=0.0006)


@pytest.mark.parametrize("temp_c", [-40.0, 0.0, 2.8, 45.4, 60.0])
def test_nothing_works_outside_the_cardinal_temperatures(temp_c):
    assert relative_rate(temp_c) == 0.0


def test_rate_is_highest_at_the_published_optimum():
    best = minimize_scalar(lambda temp_c: -share_of_optimum(temp_c), bounds=(3.0, 45.0), method="bounded")
    assert best.x == pytest.approx(32.3, abs=0.01)
    assert -best.fun == pytest.approx(1.0, abs=1e-6)


@given(st.floats(-50.0, 80.0))
def test_rate_stays_between_nothing_and_the_optimum(temp_c):
    assert 0.0 <= share_of_optimum(temp_c) <= 1.0 + 1e-9
