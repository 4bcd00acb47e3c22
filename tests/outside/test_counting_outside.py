"""Counting seeds against scipy, statsmodels and published sets."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import boschloo_exact, fisher_exact
from statsmodels.stats.proportion import (
    confint_proportions_2indep,
    power_proportions_2indep,
    proportion_confint,
)

from station.domain.exact import boschloo_greater, boschloo_two_sided, fisher_greater, fisher_two_sided
from station.domain.power import fisher_power, seeds_needed
from station.domain.shares import difference, wilson


@st.composite
def two_arms(draw, most=40):
    m, n = draw(st.integers(1, most)), draw(st.integers(1, most))
    return draw(st.integers(0, m)), m, draw(st.integers(0, n)), n


@pytest.mark.parametrize(
    ("count", "total", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (0, 20, 0.0, 0.1611), (18, 20, 0.6990, 0.9721)],
)
def test_wilson_ranges_are_as_published(count, total, low, high):
    # 81 of 263: Newcombe 1998 (Stat. Med. 17:857), table I; the others recomputed from Wilson 1927.
    found = wilson(count, total)
    assert found.low == pytest.approx(low, abs=5e-5)
    assert found.high == pytest.approx(high, abs=5e-5)


@given(st.integers(1, 500).flatmap(lambda total: st.tuples(st.integers(0, total), st.just(total))))
def test_wilson_agrees_with_statsmodels(counts):
    found = wilson(*counts)
    assert (found.low, found.high) == pytest.approx(proportion_confint(*counts, method="wilson"), abs=1e-9)


@given(two_arms(200))
def test_the_range_of_a_difference_agrees_with_statsmodels(arms):
    a, m, b, n = arms
    found = difference(wilson(a, m), wilson(b, n))
    expected = confint_proportions_2indep(a, m, b, n, method="newcomb", compare="diff")
    assert (found.low, found.high) == pytest.approx(expected, abs=1e-9)


def test_the_lady_tasting_tea():
    # Fisher 1935: 3 of 4 against 1 of 4.
    assert fisher_greater(3, 4, 1, 4) == pytest.approx(17 / 70)
    assert fisher_two_sided(3, 4, 1, 4) == pytest.approx(34 / 70)


def test_the_twins_of_convicts():
    # Fisher 1934, dizygotic against monozygotic twins: [[2, 15], [10, 3]].
    assert fisher_two_sided(2, 17, 10, 13) == pytest.approx(0.00053672, abs=5e-9)


@settings(deadline=None)
@given(two_arms())
def test_fisher_agrees_with_scipy(arms):
    a, m, b, n = arms
    table = [[a, m - a], [b, n - b]]
    assert fisher_two_sided(*arms) == pytest.approx(fisher_exact(table)[1], abs=1e-9)
    assert fisher_greater(*arms) == pytest.approx(fisher_exact(table, alternative="greater")[1], abs=1e-9)


def test_boschloo_of_the_published_example():
    # Boschloo's test as worked out in scipy's documentation, [[74, 31], [43, 32]]: its columns are the groups.
    assert boschloo_greater(74, 74 + 43, 31, 31 + 32) == pytest.approx(0.0355641, abs=5e-8)


@settings(deadline=None, max_examples=60)
@given(two_arms(25))
def test_boschloo_agrees_with_scipy(arms):
    a, m, b, n = arms
    table = [[a, b], [m - a, n - b]]
    greater = boschloo_exact(table, alternative="greater", n=256).pvalue
    assert boschloo_greater(*arms) == pytest.approx(greater, abs=2e-6)
    # scipy's search may stop short of the top of a narrow peak; ours must never be below it
    assert boschloo_two_sided(*arms) >= boschloo_exact(table, n=256).pvalue - 1e-9


@pytest.mark.parametrize("arms", [(250, 300, 230, 300), (6, 300, 1, 300), (297, 300, 140, 150)])
def test_boschloo_of_hundreds_of_seeds_agrees_with_scipy(arms):
    a, m, b, n = arms
    greater = boschloo_exact([[a, b], [m - a, n - b]], alternative="greater", n=256).pvalue
    assert boschloo_greater(*arms) == pytest.approx(greater, rel=1e-6)


def test_fisher_of_a_table_beyond_the_smallest_float_is_not_lost():
    # 0 of 750 against 750 of 750: the table alone has a chance of about 1e-450, which no float holds.
    assert fisher_greater(0, 750, 750, 750) == fisher_exact([[0, 750], [750, 0]], alternative="greater")[1] == 1.0
    assert fisher_greater(750, 750, 0, 750) == pytest.approx(0.0, abs=1e-300)


def test_seeds_needed_to_tell_65_from_85_percent():
    assert seeds_needed(0.65, 0.85) == pytest.approx(72.4, abs=0.05)


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_seeds_needed_give_the_power_that_statsmodels_finds(first, second):
    if abs(first - second) < 0.1:
        return
    seeds = seeds_needed(first, second)
    found = power_proportions_2indep(first - second, second, seeds)
    assert found.power == pytest.approx(0.8, abs=0.01)


def test_twenty_seeds_rarely_tell_60_from_85_percent():
    # Summed over all tables with scipy's Fisher test: 0.317.
    assert fisher_power(0.6, 0.85, 20) == pytest.approx(0.317, abs=0.0005)
