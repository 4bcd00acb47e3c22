"""The belief against the textbook's normal means where it is one, against scipy's integrals elsewhere: within 1 %."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from station.domain.jars import Judgement
from station.domain.learning import (
    BETWEEN_PLANTS_SHARE,
    JUDGING_LOG_SD,
    RIGHT_LOG_SD,
    RIGHT_SHARE,
    JudgedJar,
    plant_belief,
    updated,
)
from station.domain.readiness import (
    BASE_SD_C,
    JAR_LOG_SD,
    LOG_NEEDS,
    LOG_SD,
    PAST_SHARE,
    Belief,
    belief_of,
    chance_past,
    chance_ready,
    default_belief,
)
from station.domain.warmth import BASE_C, BASES_C, Warmth, approach

PLANT_LOG_SD = math.sqrt(LOG_SD**2 - JAR_LOG_SD**2)
RIGHT_TOTAL_SD = math.hypot(JAR_LOG_SD, RIGHT_LOG_SD)
JUDGED_TOTAL_SD = math.hypot(JAR_LOG_SD, JUDGING_LOG_SD)


def days_at(temp_c: float, days: float) -> Warmth:
    return Warmth().after(approach(temp_c, temp_c, days * 86400.0, 0.0))


def with_base_fixed(belief: Belief, base_c: float = BASE_C) -> Belief:
    keep = BASES_C.index(base_c)
    columns = zip(*belief.weights, strict=True)
    return belief_of([column if index == keep else [0.0] * len(column) for index, column in enumerate(columns)])


def log_need_moments(belief: Belief) -> tuple[float, float]:
    weights = np.array(belief.weights).sum(axis=1)
    mean = float(weights @ np.array(LOG_NEEDS))
    return mean, math.sqrt(float(weights @ (np.array(LOG_NEEDS) - mean) ** 2))


def conjugate(means: list[float], prior_mean: float, prior_sd: float, sd: float) -> tuple[float, float]:
    """Normal prior, normal observations of known spread (Gelman et al., Bayesian Data Analysis, section 2.5)."""
    precision = 1.0 / prior_sd**2 + len(means) / sd**2
    return (prior_mean / prior_sd**2 + sum(means) / sd**2) / precision, precision**-0.5


@pytest.mark.parametrize("days", [[5.0], [6.5, 7.0, 6.0], [4.0, 4.4, 4.1, 4.3, 4.6, 4.2]])
@pytest.mark.parametrize("temp_c", [20.0, 16.0, 24.0])
def test_with_the_base_fixed_and_all_right_the_posterior_is_the_textbooks(days: list[float], temp_c: float) -> None:
    belief = with_base_fixed(default_belief())
    for one in days:
        belief = updated(belief, days_at(temp_c, one), Judgement.RIGHT)
    logs = [math.log(one * (temp_c - BASE_C) / (20.0 - BASE_C) / RIGHT_SHARE) for one in days]
    mean, sd = log_need_moments(belief)
    expected_mean, expected_sd = conjugate(logs, math.log(5.5), PLANT_LOG_SD, RIGHT_TOTAL_SD)
    assert math.exp(mean) == pytest.approx(math.exp(expected_mean), rel=0.01)
    assert sd == pytest.approx(expected_sd, rel=0.01)


def test_what_other_plants_teach_is_the_textbooks_two_levels_of_means() -> None:
    # One other plant with three jars, none of our own: y = common + plant + jar, all normal (section 5.4).
    days = [6.5, 7.0, 6.8]
    judged = [JudgedJar("nettle", days_at(20.0, one), Judgement.RIGHT) for one in days]
    common_var, plant_var = PLANT_LOG_SD**2 * (1 - BETWEEN_PLANTS_SHARE), PLANT_LOG_SD**2 * BETWEEN_PLANTS_SHARE
    seen_var = plant_var + RIGHT_TOTAL_SD**2 / len(days)
    seen = sum(math.log(one / RIGHT_SHARE) for one in days) / len(days)
    pull = common_var / (common_var + seen_var)
    expected_mean = math.log(5.5) + pull * (seen - math.log(5.5))
    expected_sd = math.sqrt(common_var * (1 - pull) + plant_var)
    mean, sd = log_need_moments(plant_belief("comfrey", judged))  # at 20 °C the base does not matter
    assert math.exp(mean) == pytest.approx(math.exp(expected_mean), rel=0.01)
    assert sd == pytest.approx(expected_sd, rel=0.01)


def likelihood(log_need: float, log_had: float, judgement: Judgement) -> float:
    if judgement is Judgement.RIGHT:
        return float(stats.norm.pdf(log_had - math.log(RIGHT_SHARE), log_need, RIGHT_TOTAL_SD))
    if judgement is Judgement.TOO_EARLY:
        return float(stats.norm.cdf((log_need - log_had) / JUDGED_TOTAL_SD))
    return float(stats.norm.cdf((log_had - math.log(PAST_SHARE) - log_need) / JUDGED_TOTAL_SD))


@pytest.mark.parametrize(
    "told",
    [
        [(20.0, 6.0, Judgement.TOO_EARLY)],
        [(15.0, 12.0, Judgement.TOO_LATE)],
        [(13.0, 14.0, Judgement.RIGHT)],
        [(20.0, 6.2, Judgement.TOO_EARLY), (12.0, 20.0, Judgement.RIGHT), (24.0, 6.5, Judgement.TOO_LATE)],
    ],
)
def test_elsewhere_the_posterior_is_scipys_integral(told: list[tuple[float, float, Judgement]]) -> None:
    belief = default_belief()
    for temp_c, days, judgement in told:
        belief = updated(belief, days_at(temp_c, days), judgement)

    def density(log_need: float, base_c: float) -> float:
        value = float(stats.norm.pdf(base_c, BASE_C, BASE_SD_C) * stats.norm.pdf(log_need, math.log(5.5), PLANT_LOG_SD))
        for temp_c, days, judgement in told:
            had = days * (temp_c - base_c) / (20.0 - base_c)
            value *= likelihood(log_need, math.log(had), judgement)
        return value

    def moment(power: int, base_c: float) -> float:
        found, _ = integrate.quad(lambda x: x**power * density(x, base_c), 0.8, 2.8, epsabs=1e-12, epsrel=1e-9)
        return float(found)

    by_base = [moment(0, base_c) for base_c in BASES_C]
    total = sum(by_base)
    mean = sum(moment(1, base_c) for base_c in BASES_C) / total
    sd = math.sqrt(sum(moment(2, base_c) for base_c in BASES_C) / total - mean**2)
    found_mean, found_sd = log_need_moments(belief)
    assert math.exp(found_mean) == pytest.approx(math.exp(mean), rel=0.01)
    assert found_sd == pytest.approx(sd, rel=0.01)
    for weight, expected in zip(np.array(belief.weights).sum(axis=0), by_base, strict=True):
        assert weight == pytest.approx(expected / total, abs=0.01)


@pytest.mark.parametrize("days", [3.5, 4.5, 5.5, 6.5, 8.0])
def test_the_chance_of_being_ready_is_the_normal_law_of_the_logarithm(days: float) -> None:
    # At 20 °C the base does not matter: what is left is a log-normal need with the default's whole spread.
    warmth = days_at(20.0, days)
    law = stats.lognorm(LOG_SD, scale=5.5)
    assert chance_ready(default_belief(), warmth) == pytest.approx(law.cdf(days), abs=0.003)
    assert chance_past(default_belief(), warmth) == pytest.approx(law.cdf(days / PAST_SHARE), abs=0.003)


def test_the_base_is_as_unsure_as_published_weeks_at_two_temperatures_leave_it() -> None:
    """NDSU Extension, sauerkraut: 70 to 75 °F 3 to 4 weeks, 60 to 65 °F 5 to 6 weeks; the warmer, the quicker."""
    warm, cool = np.meshgrid(*[(np.arange(400) + 0.5) / 400.0] * 2)
    warm_c, warm_days = (70.0 + 5.0 * warm - 32.0) / 1.8, 28.0 - 7.0 * warm
    cool_c, cool_days = (60.0 + 5.0 * cool - 32.0) / 1.8, 42.0 - 7.0 * cool
    bases_c = (warm_days * warm_c - cool_days * cool_c) / (warm_days - cool_days)
    assert float(bases_c.std()) == pytest.approx(BASE_SD_C, rel=0.01)
    assert float(np.median(bases_c)) == pytest.approx(BASE_C, abs=0.25)
    assert (bases_c.min(), bases_c.max()) == pytest.approx((BASES_C[0], BASES_C[-1]), abs=0.5)
