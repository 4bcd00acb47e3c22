"""Trials: records, results, and what may be said of them."""

import re
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.germination import mean_days_to_germination, trial_result
from station.domain.power import percent_from, plan_for, seeds_needed, seeds_to_see
from station.domain.shares import Dish, design_effect, wilson
from station.domain.trials import (
    Arm,
    Counted,
    Ended,
    Sown,
    check_trial_entry,
    control_among,
    dishes_from,
    sown_trial,
    trial_from,
)
from station.domain.verdicts import Finding, finding, verdict_sentences
from station.errors import NotebookError
from tests.builders import START


def sown(soaked=(20,), plain=(20,), **changes):
    arms = (Arm("soaked", tuple(soaked)), Arm("plain", tuple(plain)))
    return Sown("beans-1", START, "runner beans", arms, "plain", **changes)


def counted(arm, germinated, days=7.0, dish=1):
    return Counted("beans-1", START + timedelta(days=days), arm, germinated, dish)


def a_trial(*counts, **changes):
    return trial_from((sown(**changes), *counts))


def said(trial):
    return " ".join(verdict_sentences(trial, trial_result(trial)))


def test_the_latest_count_is_what_germinated():
    result = trial_result(a_trial(counted("soaked", 5, 3), counted("soaked", 18, 7), counted("plain", 14, 7)))
    soaked, plain = result.arms
    assert (soaked.germinated, plain.germinated) == (18, 14)
    # Wilson 18 of 20: 0.6990 to 0.9721.
    assert (soaked.share.low, soaked.share.high) == pytest.approx((0.6990, 0.9721), abs=5e-5)


def test_mean_time_weighs_the_seeds_of_each_day():
    # Ellis & Roberts 1981, Σ n·t / Σ n: 5 on day 3, 10 on day 5, 5 on day 8.
    assert mean_days_to_germination(((3, 5), (5, 15), (8, 20))) == pytest.approx((5 * 3 + 10 * 5 + 5 * 8) / 20)
    assert mean_days_to_germination(((3, 0),)) is None
    assert mean_days_to_germination(()) is None


def test_mean_time_is_taken_over_all_dishes():
    trial = a_trial(counted("soaked", 10, 3, 1), counted("soaked", 5, 6, 2), soaked=(10, 10))
    assert trial_result(trial).arms[0].mean_days == pytest.approx(4.0)
    assert trial_result(trial).arms[1].mean_days is None


def test_a_small_difference_of_few_seeds_is_left_open():
    trial = a_trial(counted("soaked", 18), counted("plain", 14))
    text = said(trial)
    assert "cannot be told" in text
    assert "not proof that there is none" in text
    assert f"about {seeds_to_see(14 / 20)} seeds" in text
    assert "one dish" in text


@pytest.mark.parametrize(
    ("soaked", "plain", "found"), [(58, 30, Finding.BETTER), (30, 58, Finding.WORSE), (31, 30, Finding.OPEN)]
)
def test_a_large_difference_of_many_seeds_is_a_hint(soaked, plain, found):
    trial = a_trial(counted("soaked", soaked), counted("plain", plain), soaked=(60,), plain=(60,))
    (comparison,) = trial_result(trial).comparisons
    assert finding(comparison) is found
    assert ("hint: repeat it" in said(trial)) == (found is not Finding.OPEN)


def test_nothing_is_said_before_anything_is_counted():
    assert said(a_trial()) == "Nothing has been counted yet."


def test_it_is_not_over_before_the_end():
    going, over = (
        a_trial(counted("soaked", 3)),
        a_trial(counted("soaked", 3), Ended("beans-1", START + timedelta(days=9))),
    )
    assert "Counting goes on" in said(going)
    assert "Counting goes on" not in said(over)


def test_dishes_that_differ_much_widen_the_range():
    spread = a_trial(counted("soaked", 20, dish=1), counted("soaked", 8, dish=2), soaked=(20, 20), plain=(20, 20))
    even = a_trial(counted("soaked", 14, dish=1), counted("soaked", 14, dish=2), soaked=(20, 20), plain=(20, 20))
    wide, narrow = trial_result(spread).arms[0].share, trial_result(even).arms[0].share
    assert wide.value == pytest.approx(narrow.value)
    assert wide.high - wide.low > narrow.high - narrow.low
    assert "not independent" in said(spread)
    assert "not independent" not in said(even)
    assert "one dish" not in said(even)


@pytest.mark.parametrize(
    "counts",
    [
        (counted("soaked", 18),),
        (counted("soaked", 18), counted("soaked", 17, dish=2), counted("plain", 16)),
    ],
)
def test_a_dish_that_nobody_counted_is_not_one_in_which_nothing_came_up(counts):
    """The form says to leave a dish empty that one did not look at; of plain, 0 of 20 were told, and far fewer."""
    trial = a_trial(*counts, soaked=(20,) * len({one.dish for one in counts}), plain=(20,) * 2)
    assert trial_result(trial).comparisons == ()
    assert "Not every dish of plain has been counted yet" in said(trial)
    assert "plain 0" not in said(trial)
    assert "germinated in" not in said(trial)
    assert "not independent" not in said(trial)


@pytest.mark.parametrize(
    ("plain", "plain_days", "behind"), [(2, 3.0, True), (20, 3.0, False), (2, 6.5, False), (2, 7.0, False)]
)
def test_dishes_counted_on_different_days_are_said_to_be(plain, plain_days, behind):
    trial = a_trial(counted("soaked", 18, 7.0), counted("plain", plain, plain_days))
    assert ("count all on one day before you compare" in said(trial)) is behind


def test_dishes_that_cluster_let_no_test_of_single_seeds_speak():
    """It said: "may be chance; chance alone would make one as large about once in 140"."""
    counts = [
        counted("soaked", 25, dish=1),
        counted("soaked", 0, dish=2),
        counted("plain", 12),
        counted("plain", 0, dish=2),
    ]
    trial = a_trial(*counts, soaked=(25, 25), plain=(25, 25))
    assert finding(trial_result(trial).comparisons[0]) is Finding.OPEN
    assert "not independent" in said(trial)
    assert "chance alone" not in said(trial)


@given(st.integers(1, 15), st.integers(1, 15), st.data())
def test_what_may_be_chance_is_not_said_to_be_rare(sown_soaked, sown_plain, data):
    soaked, plain = (data.draw(st.integers(0, sown)) for sown in (sown_soaked, sown_plain))
    trial = a_trial(counted("soaked", soaked), counted("plain", plain), soaked=(sown_soaked,), plain=(sown_plain,))
    text = said(trial)
    if "may be chance" in text:
        assert not re.search(r"once in (1,|\d{3}|[3-9]\d|2[1-9])", text)
    assert "−0" not in text


def test_one_dish_an_arm_says_nothing_about_dishes():
    assert design_effect(((Dish(3, 10),), (Dish(4, 10),))) is None
    assert design_effect(((Dish(5, 10), Dish(5, 10)),)) == 1.0
    assert design_effect(((Dish(10, 10), Dish(10, 10)),)) == 1.0


def test_several_arms_are_each_compared_with_the_plain_one():
    arms = (Arm("1:500", (60,)), Arm("1:1000", (60,)), Arm("plain", (60,)))
    trial = trial_from(
        (
            Sown("beans-1", START, "beans", arms, control_among(arms)),
            counted("1:500", 50),
            counted("1:1000", 44),
            counted("plain", 36),
        )
    )
    first, second = trial_result(trial).comparisons
    assert (first.arm, second.arm) == ("1:500", "1:1000")
    # Holm 1979: the smaller probability counts twice, the larger once but no less than the smaller.
    assert first.adjusted == pytest.approx(first.boschloo * 2)
    assert second.adjusted == pytest.approx(max(second.boschloo, first.boschloo * 2))


def test_thousands_of_seeds_go_by_their_ranges():
    trial = a_trial(counted("soaked", 900), counted("plain", 700), soaked=(1000,), plain=(1000,))
    (comparison,) = trial_result(trial).comparisons
    assert comparison.fisher is None
    assert finding(comparison) is Finding.BETTER
    assert "chance alone" not in said(trial)


@pytest.mark.parametrize(
    ("arms", "control"),
    [
        ((), ""),
        ((Arm("soaked", (5,)),), "soaked"),
        ((Arm("a", (5,)), Arm("A", (5,))), "a"),
        ((Arm("a", (0,)), Arm("b", (5,))), "a"),
        ((Arm("a", ()), Arm("b", (5,))), "a"),
        ((Arm("a", (-5, 9)), Arm("b", (5,))), "a"),
        ((Arm("a", (100_001,)), Arm("b", (5,))), "a"),
        ((Arm("a", (5,)), Arm("b", (5,))), "c"),
        ((Arm(" ", (5,)), Arm("b", (5,))), "b"),
    ],
)
def test_a_trial_that_cannot_be_is_refused(arms, control):
    with pytest.raises(NotebookError):
        sown_trial(Sown("t", START, "beans", arms, control))


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        (counted("soaked", 21), "where 20 were sown"),
        (counted("soaked", -1), "where 20 were sown"),
        (counted("soaked", 3, dish=2), "no dish 2"),
        (counted("salt", 3), "no arm 'salt'"),
        (counted("", 3), "no arm"),
        (counted("soaked", 3, -1), "was sown at"),
        (counted("soaked", 9, 5), "but 10 at"),
        (counted("soaked", 11, 3), "but 10 at"),
    ],
)
def test_a_count_that_cannot_be_is_refused(entry, says):
    with pytest.raises(NotebookError) as caught:
        check_trial_entry(a_trial(counted("soaked", 10, 4)), entry)
    assert says in caught.value.what


def test_a_count_may_stay_and_be_written_down_late():
    trial = a_trial(counted("soaked", 10, 4))
    check_trial_entry(trial, counted("soaked", 10, 5))
    check_trial_entry(trial, counted("soaked", 8, 3))


def test_nothing_is_counted_after_the_end():
    with pytest.raises(NotebookError, match="has ended"):
        check_trial_entry(a_trial(Ended("beans-1", START)), counted("soaked", 3))


def test_an_arm_may_be_abbreviated_while_one_fits():
    trial = a_trial()
    assert trial.arm("S").name == "soaked"
    assert trial.arm("plain").name == "plain"


@pytest.mark.parametrize(("names", "control"), [(("Plain", "soaked"), "Plain"), (("a", "b"), "b"), ((), "")])
def test_the_plain_arm_is_compared_with(names, control):
    assert control_among([Arm(name, (5,)) for name in names]) == control


@pytest.mark.parametrize(("count", "total"), [(1, 0), (-1, 5), (6, 5), (float("nan"), 5)])
def test_a_share_of_nothing_is_refused(count, total):
    with pytest.raises(NotebookError):
        wilson(count, total)


def test_equal_shares_need_no_end_of_seeds():
    with pytest.raises(NotebookError, match="different shares"):
        seeds_needed(0.5, 0.5)


@given(st.floats(0.0, 1.0))
def test_twenty_points_can_be_looked_for_from_any_share(share):
    assert 5 < seeds_to_see(share) < 110


@pytest.mark.parametrize(
    ("soaked", "plain", "words"),
    [
        # boschloo_exact of scipy.stats: 0.1524, 0.01037 (1 / 96), 1.5e-8
        (15, 9, "about 15 times in 100"),
        (35, 25, "about once in 96"),
        (38, 15, "less than once in 1,000"),
    ],
)
def test_a_chance_is_said_as_often_as_it_happens(soaked, plain, words):
    trial = a_trial(counted("soaked", soaked), counted("plain", plain), soaked=(40,), plain=(40,))
    assert f"as large {words}" in " ".join(verdict_sentences(trial, trial_result(trial)))


def test_seeds_of_several_dishes_are_typed_with_commas_or_spaces() -> None:
    assert dishes_from("20") == (20,)
    assert dishes_from(" 20, 20 18 ") == (20, 20, 18)
    for text in ("", "many", "20;20", "2.5"):
        with pytest.raises(NotebookError):
            dishes_from(text)


def test_a_plan_says_how_many_seeds_tell_two_shares_apart() -> None:
    """65 against 85 %: 72.4, so 73 seeds in each arm (Fleiss, Levin & Paik 2003)."""
    plan = plan_for(percent_from("65 %"), percent_from("20"))

    assert plan.needed == 73
    assert str(plan) == "To tell 65 % from 85 %, sow about 73 seeds of each kind, in several dishes."
    assert plan_for(0.9, 0.2).second == pytest.approx(0.7)  # away from the nearer end


@pytest.mark.parametrize(("share", "points"), [(-0.1, 0.2), (1.1, 0.2), (0.5, 0.0), (0.5, 0.6), (float("nan"), 0.2)])
def test_a_plan_that_cannot_be_is_refused(share: float, points: float) -> None:
    with pytest.raises(NotebookError):
        plan_for(share, points)
