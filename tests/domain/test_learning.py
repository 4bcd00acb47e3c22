import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.jars import Judgement
from station.domain.learning import Explained, JudgedJar, explained, plant_belief, updated
from station.domain.readiness import default_belief, need_range
from station.domain.warmth import Warmth, approach
from station.errors import JarsideError

RIGHT, TOO_EARLY, TOO_LATE = Judgement.RIGHT, Judgement.TOO_EARLY, Judgement.TOO_LATE


def days_at(temp_c: float, days: float) -> Warmth:
    return Warmth().after(approach(temp_c, temp_c, days * 86400.0, 0.0))


def a_judged_jar(days: float = 6.3, judgement: Judgement = RIGHT, plant: str = "comfrey") -> JudgedJar:
    return JudgedJar(plant, days_at(20.0, days), judgement)


def likely_need(plant: str, *judged: JudgedJar) -> float:
    return need_range(plant_belief(plant, judged)).median


def test_without_jars_a_plant_is_believed_to_be_like_any() -> None:
    found, usual = need_range(plant_belief("comfrey", [])), need_range(default_belief())
    assert (found.low, found.median, found.high) == pytest.approx((usual.low, usual.median, usual.high), rel=0.002)


def test_too_early_lengthens_the_need_and_too_late_shortens_it() -> None:
    assert likely_need("comfrey", a_judged_jar(6.0, TOO_EARLY)) > 5.6
    assert likely_need("comfrey", a_judged_jar(6.0, TOO_LATE)) < 5.4


def test_too_early_after_an_hour_says_next_to_nothing() -> None:
    assert likely_need("comfrey", a_judged_jar(1.0 / 24.0, TOO_EARLY)) == pytest.approx(5.5, abs=0.01)


def test_judgements_narrow_the_range_but_a_jar_still_differs_from_the_next() -> None:
    need = need_range(plant_belief("comfrey", [a_judged_jar() for _ in range(200)]))
    assert need.high / need.low == pytest.approx(math.exp(2 * 1.2816 * 0.08), rel=0.02)  # five days or six: 0.08


def test_straining_half_way_through_the_good_window_and_finding_it_right_changes_nothing() -> None:
    half_way = 5.5 * math.sqrt(1.3)
    assert likely_need("comfrey", *[a_judged_jar(half_way) for _ in range(8)]) == pytest.approx(5.5, rel=0.002)


def test_plants_share_and_then_part_ways() -> None:
    slow = [a_judged_jar(7.6, plant="comfrey") for _ in range(8)]
    stranger = likely_need("nettle", *slow)
    assert 5.5 < stranger < likely_need("comfrey", *slow)
    quick = [a_judged_jar(5.0, plant="nettle") for _ in range(8)]
    assert likely_need("nettle", *slow, *quick) < 5.0 < 6.0 < likely_need("comfrey", *slow, *quick)


def test_a_withdrawn_judgement_leaves_no_trace() -> None:
    kept = [a_judged_jar(6.0), a_judged_jar(7.0, TOO_EARLY)]
    wrong = a_judged_jar(9.0, TOO_EARLY)
    assert likely_need("comfrey", *kept, wrong) != likely_need("comfrey", *kept)
    assert plant_belief("comfrey", [*kept, wrong][:2]) == plant_belief("comfrey", kept)


def test_the_order_of_the_jars_does_not_matter() -> None:
    jars = [a_judged_jar(6.0), a_judged_jar(7.0, TOO_EARLY), a_judged_jar(5.5, TOO_LATE, "nettle"), a_judged_jar(6.6)]
    assert likely_need("comfrey", *jars) == pytest.approx(likely_need("comfrey", *reversed(jars)), rel=1e-9)


def test_a_jar_of_which_nothing_was_measured_teaches_nothing() -> None:
    unseen = JudgedJar("comfrey", Warmth(missing_h=150.0), TOO_EARLY)
    assert plant_belief("comfrey", [unseen]) == plant_belief("comfrey", [])
    assert updated(default_belief(), unseen.warmth, TOO_EARLY) == default_belief()


def test_a_jar_with_missing_hours_teaches_less() -> None:
    whole = days_at(20.0, 7.6)
    gappy = Warmth(tuple(0.5 * one for one in whole.excess_ch), 0.5 * whole.observed_h, 0.0, 0.5 * whole.observed_h)
    taught = [likely_need("comfrey", JudgedJar("comfrey", warmth, RIGHT)) for warmth in (whole, gappy)]
    assert 5.5 < taught[1] < taught[0]


def test_jars_at_two_temperatures_teach_the_base() -> None:
    # Kimchi to equal acidity: 2.5 days at 20 °C, 7 at 10 °C, so a base of 4.4 °C (check of two published pairs).
    pair = [JudgedJar("any", days_at(20.0, 6.3), RIGHT), JudgedJar("any", days_at(10.0, 6.3 * 7.0 / 2.5), RIGHT)]
    weights = plant_belief("any", pair * 8).weights
    by_base = [math.fsum(column) for column in zip(*weights, strict=True)]
    assert by_base[0] + by_base[1] > 0.9  # 4 or 5 °C


def test_a_belief_can_be_told_in_a_sentence() -> None:
    jars = [a_judged_jar(5.85) for _ in range(6)] + [a_judged_jar(6.2, plant="nettle")]
    found = explained("comfrey", jars, plant_belief("comfrey", jars))
    assert (found.plant, found.own_jars, found.other_jars) == ("comfrey", 6, 1)
    assert found.need_warm_days == pytest.approx(5.2, abs=0.15)
    assert 0.1 < found.give_or_take < 0.4


def test_nothing_known_is_told_as_well() -> None:
    found = explained("comfrey", [], plant_belief("comfrey", []))
    assert found == Explained("comfrey", 0, 0, found.need_warm_days, found.give_or_take)
    assert found.need_warm_days == pytest.approx(5.5, abs=0.01)


def test_a_need_out_of_bounds_is_refused_before_anything_is_counted() -> None:
    with pytest.raises(JarsideError, match="need 40 warm-days is out of bounds"):
        plant_belief("comfrey", [], need_warm_days=40.0)


@given(
    st.lists(st.tuples(st.floats(0.0, 40.0), st.floats(0.01, 60.0), st.sampled_from(list(Judgement))), max_size=6),
    st.floats(0.0, 400.0),
)
def test_no_judgements_whatever_leave_a_broken_belief(told: list[tuple[float, float, Judgement]], gap_h: float) -> None:
    jars = [
        JudgedJar("comfrey", days_at(temp_c, days).bridged(temp_c, gap_h * 3600.0), judgement)
        for temp_c, days, judgement in told
    ]
    belief = plant_belief("comfrey", jars)
    assert math.fsum(math.fsum(row) for row in belief.weights) == pytest.approx(1.0)
    need = need_range(belief)
    assert 1.0 <= need.low <= need.median <= need.high <= 31.0
