"""Sugar in the juice and gas in a closed bottle."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.plants import Moisture
from station.domain.pressure import bottle_pressure, closed_pressure, pressure_sentence
from station.domain.sugar import SATURATED_SHARE, juice_ml, juice_sugar_share, sucrose_density_g_ml, sugar_in_g
from station.errors import QuantityError


@given(st.floats(0.0, 50.0), st.floats(50.0, 5000.0), st.floats(0.0, 0.95), st.floats(0.0, 35.0))
def test_dissolving_only_ever_lowers_the_pressure(fermented_g, bottle_ml, share, temp_c):
    pressure = closed_pressure(fermented_g, bottle_ml, bottle_ml * share, temp_c)
    assert 0.0 <= pressure.settled_bar <= pressure.most_bar


@given(st.floats(0.1, 20.0), st.floats(0.0, 0.9), st.floats(0.0, 0.05))
def test_less_head_space_means_more_pressure(fermented_g, share, more):
    fuller = closed_pressure(fermented_g, 1000.0, 1000.0 * (share + more))
    assert fuller.most_bar >= closed_pressure(fermented_g, 1000.0, 1000.0 * share).most_bar


@given(st.floats(0.1, 20.0), st.floats(1.0, 5.0))
def test_pressure_grows_with_the_sugar(fermented_g, factor):
    more, less = closed_pressure(fermented_g * factor, 500.0, 300.0), closed_pressure(fermented_g, 500.0, 300.0)
    assert more.settled_bar == pytest.approx(less.settled_bar * factor)


@pytest.mark.parametrize("values", [(1, 500, 500), (1, 500, 600), (-1, 500, 300), (1, 500, -3), (1, 500, 300, 80)])
def test_a_bottle_that_cannot_be_is_refused(values):
    with pytest.raises(QuantityError):
        closed_pressure(*values)


def test_one_figure_is_said_and_it_is_the_one_that_bursts():
    pressure = closed_pressure(2.0, 1000.0, 667.0)
    said = pressure_sentence(pressure, 0.02)
    assert f"{pressure.most_bar:.1f} bar above the air outside" in said
    assert "only 2 % of its sugar" in said
    assert said.count("bar") == 1


def test_a_dangerous_pressure_is_called_so():
    assert "burst" in pressure_sentence(closed_pressure(2.0, 1000.0, 667.0))
    assert "burst" not in pressure_sentence(closed_pressure(0.1, 1000.0, 300.0))


@pytest.mark.parametrize(
    ("juice_ml", "bottle_ml", "says"),
    [(249.0, 250.0, "more than 10 bar above"), (167.0, 250.0, " 3.1 bar above"), (100.0, 5000.0, "less than 0.1 bar")],
)
def test_a_pressure_that_no_bottle_holds_is_not_told_to_a_tenth(juice_ml, bottle_ml, says):
    """The gas law alone (n·R·T/V) makes some 380 bar of 1 mL of head space, where nearly all would dissolve."""
    assert says in pressure_sentence(bottle_pressure(juice_ml, bottle_ml, 0.45))


@given(st.floats(10.0, 1e4), st.floats(0.5, 3.0), st.sampled_from(Moisture))
def test_all_sugar_that_went_in_is_in_the_juice(plant_g, ratio, moisture):
    sugar_g = plant_g / ratio
    share = juice_sugar_share(plant_g, sugar_g, moisture)
    assert sugar_in_g(juice_ml(plant_g, sugar_g, share), share) == pytest.approx(sugar_g)
    assert 0.0 < share <= SATURATED_SHARE


def test_juice_without_sugar_is_none():
    assert juice_ml(100.0, 0.0, 0.0) == 0.0


@given(st.floats(0.0, 0.64))
def test_more_sugar_is_denser(share):
    assert sucrose_density_g_ml(share + 0.01) > sucrose_density_g_ml(share)
