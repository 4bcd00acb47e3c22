"""What is believed of each plant, from judged jars and from what was set and reset by hand."""

import math
from dataclasses import astuple, replace
from datetime import UTC, timedelta

import pytest

from station.domain.jars import Jar, Judgement
from station.domain.need_words import NO_READINGS, NOT_COUNTED_YET, OUT_OF_REACH, judged_lines, need_text
from station.domain.needs import (
    EVERY,
    Beginning,
    NeedEntry,
    NeedReset,
    Needs,
    NeedSet,
    PlantNeed,
    ResetTakenBack,
    check_need,
    judged_jars,
    needs_of,
    plant_need,
    warmth_at_straining,
)
from station.domain.packing import Packing
from station.domain.preparations import Preparation
from station.domain.readiness import NEED_BOUNDS, NEED_WARM_DAYS, PAST_SHARE, Belief, default_belief, need_range
from station.domain.warmth import JarHeat, Warmth, approach, fresh
from station.errors import JarsideError
from tests.builders import START

DAY = timedelta(days=1)


def a_heat(warm_days: float, hours: float = 144.0) -> JarHeat:
    """The heat of a jar that stood at one temperature from START on."""
    temp_c = 7.0 + 13.0 * warm_days * 24.0 / hours
    warmth = Warmth().after(approach(temp_c, temp_c, hours * 3600.0, 0.0))
    return JarHeat(warmth, START + timedelta(hours=hours), temp_c, temp_c)


def a_jar(name: str, plant: str, judgement: Judgement | None, judged_on: float = 6.0) -> Jar:
    at = START + judged_on * DAY
    judged_at = None if judgement is None else at
    return Jar(name, plant, START, 1000.0, strained_at=START + 6 * DAY, judgement=judgement, judged_at=judged_at)


def too_early(count: int, plant: str = "comfrey", judged_on: float = 6.0) -> tuple[Jar, ...]:
    return tuple(a_jar(f"{plant}-{number}", plant, Judgement.TOO_EARLY, judged_on) for number in range(1, count + 1))


def believed(plant: str, jars: tuple[Jar, ...], *entries: NeedEntry, warm_days: float = 6.0) -> PlantNeed:
    return plant_need(plant, needs_of(jars, entries), {jar.id: a_heat(warm_days) for jar in jars})


def median(found: PlantNeed) -> float:
    return found.next_jar.median


def alike(found: PlantNeed, belief: Belief) -> bool:
    """Whether two beliefs agree on every base, and on the need to a thousandth."""
    bases = [[math.fsum(column) for column in zip(*one.weights, strict=True)] for one in (found.belief, belief)]
    needs = [astuple(one) for one in (found.next_jar, need_range(belief))]
    return bases[0] == pytest.approx(bases[1], abs=1e-6) and needs[0] == pytest.approx(needs[1], rel=1e-3)


def as_usual(found: PlantNeed) -> bool:
    return alike(found, default_belief())


def test_without_any_jars_the_usual_is_believed() -> None:
    found = plant_need("comfrey", Needs(), {})
    assert as_usual(found)
    assert median(found) == pytest.approx(NEED_WARM_DAYS, rel=1e-3)
    assert need_text(found, UTC) == "no jar judged yet; as is usual: 5.5 warm-days, give or take 0.4"


def test_the_settings_say_where_it_begins() -> None:
    found = plant_need("comfrey", Needs(), {}, Beginning(7.0, 0.2, 5.0))
    assert alike(found, default_belief(7.0, 0.2, 5.0))
    assert not alike(found, default_belief(7.0, 0.2))


def test_own_jars_move_a_plant_and_other_plants_less() -> None:
    jars = too_early(3)
    own, other = believed("comfrey", jars), believed("yarrow", jars)
    assert median(own) > median(other) > NEED_WARM_DAYS
    assert need_text(own, UTC).startswith("from 3 of your comfrey jars: ")
    assert need_text(other, UTC).startswith("no yarrow jar judged yet; from 3 jars of other plants: ")


def test_jars_of_other_plants_are_named_beside_one_s_own() -> None:
    jars = (*too_early(2), *too_early(1, "yarrow"))
    assert need_text(believed("Comfrey ", jars), UTC).startswith("from 2 of your comfrey jars and 1 of other plants: ")


def test_a_judgement_that_was_withdrawn_counts_no_more() -> None:
    jars = too_early(3)
    withdrawn = tuple(replace(jar, judgement=None, judged_at=None) for jar in jars)
    assert as_usual(believed("comfrey", withdrawn))


def test_a_reset_forgets_what_was_judged_before_it_for_every_plant_that_learned_from_it() -> None:
    jars = too_early(3)
    for name in ("comfrey", EVERY):
        reset = NeedReset(name, START + 7 * DAY)
        assert as_usual(believed("comfrey", jars, reset))
        assert as_usual(believed("yarrow", jars, reset))
    other = NeedReset("yarrow", START + 7 * DAY)
    assert believed("comfrey", jars, other).belief == believed("comfrey", jars).belief


def test_a_jar_judged_after_the_reset_counts() -> None:
    jars = (*too_early(2), a_jar("comfrey-9", "comfrey", Judgement.TOO_EARLY, 8.0))
    assert believed("comfrey", jars, NeedReset("comfrey", START + 7 * DAY)).explained.own_jars == 1


def test_a_reset_that_is_taken_back_forgets_nothing() -> None:
    jars, by_hand = too_early(3), NeedSet("comfrey", START + 7 * DAY, 4.0)
    for name in ("comfrey", EVERY):
        reset = NeedReset(name, START + 8 * DAY)
        back = ResetTakenBack(name, START + 9 * DAY, reset.at)
        assert believed("comfrey", jars, back, reset) == believed("comfrey", jars)
        assert believed("comfrey", jars, reset, by_hand, back) == believed("comfrey", jars, by_hand)
        again = NeedReset(name, START + 10 * DAY)
        assert as_usual(believed("comfrey", jars, again, back, reset))


def test_taking_back_one_reset_leaves_an_earlier_one_and_those_of_other_names() -> None:
    first, second, all_ = (NeedReset(name, START + day * DAY) for name, day in (("a", 7), ("a", 8), (EVERY, 9)))
    back = ResetTakenBack("a", START + 10 * DAY, second.at)
    needs = Needs(entries=(first, second, all_, back))
    assert (needs.last_reset("a"), needs.last_reset(EVERY), needs.reset_at("a")) == (first.at, all_.at, all_.at)


def test_a_need_set_by_hand_is_where_the_belief_begins_and_only_later_jars_of_the_plant_move_it() -> None:
    by_hand = NeedSet("comfrey", START + 7 * DAY, 4.0)
    before = believed("comfrey", (*too_early(5), *too_early(5, "yarrow", 9.0)), by_hand)
    assert median(before) == pytest.approx(4.0, rel=2e-3)
    assert need_text(before, UTC).startswith("set by you to 4 on Mon 11 May: 4.0 warm-days")
    after = believed("comfrey", (*too_early(5), a_jar("c", "comfrey", Judgement.TOO_EARLY, 8.0)), by_hand)
    assert median(after) > 4.2
    assert need_text(after, UTC).startswith("set by you to 4 on Mon 11 May, and from 1 jar judged since: ")


def test_a_need_set_by_hand_leaves_what_the_plant_teaches_others() -> None:
    jars = too_early(3)
    by_hand = NeedSet("comfrey", START + 7 * DAY, 4.0)
    assert believed("yarrow", jars, by_hand).belief == believed("yarrow", jars).belief


def test_a_reset_takes_back_what_was_set_by_hand() -> None:
    by_hand, reset = NeedSet("comfrey", START + 7 * DAY, 4.0), NeedReset(EVERY, START + 8 * DAY)
    assert believed("comfrey", (), by_hand, reset).by_hand is None
    again = NeedSet("comfrey", START + 9 * DAY, 6.0)
    assert believed("comfrey", (), again, reset, by_hand).by_hand == again


def test_a_jar_of_unknown_warmth_teaches_nothing_and_is_named() -> None:
    jars = too_early(3)
    needs = needs_of(jars, ())
    heats = {"comfrey-1": a_heat(6.0), "comfrey-2": fresh(START)}
    assert [jar.judgement for jar in judged_jars(needs, heats)] == [Judgement.TOO_EARLY]
    assert [line.left_out for line in judged_lines("comfrey", needs, heats)] == ["", NO_READINGS, NOT_COUNTED_YET]
    assert judged_lines("comfrey", needs, heats)[0].warm_days == pytest.approx(6.0)


def test_a_heat_that_reaches_beyond_the_straining_is_not_the_warmth_at_it() -> None:
    (jar,) = too_early(1)
    assert judged_jars(needs_of((jar,), ()), {jar.id: a_heat(6.0, hours=145.0)}) == ()


def test_hours_before_the_straining_that_nobody_measured_are_missing() -> None:
    heat = a_heat(5.0, hours=130.0)
    warmth = warmth_at_straining(heat, START + timedelta(hours=140))
    assert (warmth.observed_h, warmth.bridged_h, warmth.missing_h) == pytest.approx((130.0, 2.0, 8.0))


def test_jars_that_go_by_days_and_jars_not_strained_teach_nothing() -> None:
    vinegar = replace(too_early(1)[0], packing=Packing(Preparation.VINEGAR))
    standing = replace(too_early(1)[0], strained_at=None)
    assert needs_of((vinegar, standing), ()).jars == ()


@pytest.mark.parametrize("warm_days", [0.0, 1.9, 15.1, float("nan"), float("inf")])
def test_a_need_out_of_bounds_is_refused(warm_days: float) -> None:
    with pytest.raises(JarsideError, match="2 to 15 warm-days"):
        check_need(NeedSet("comfrey", START, warm_days))


def long_stood(judgement: Judgement) -> Jar:
    """A jar that was strained after forty days."""
    return replace(a_jar("comfrey-1", "comfrey", judgement), strained_at=START + 40 * DAY)


@pytest.mark.parametrize("judgement", list(Judgement))
@pytest.mark.parametrize("warm_days", [0.02, 0.9, 31.0])
def test_a_judgement_at_a_warmth_of_no_plant_is_kept_but_not_counted(judgement: Judgement, warm_days: float) -> None:
    said, heats = needs_of((long_stood(judgement),), ()), {"comfrey-1": a_heat(warm_days, 960.0)}
    found = plant_need("comfrey", said, heats)
    assert as_usual(found)
    assert found.explained.own_jars == 0
    (line,) = judged_lines("comfrey", said, heats)
    assert (line.jar.judgement, line.left_out) == (judgement, OUT_OF_REACH)
    assert line.warm_days == pytest.approx(warm_days)


def test_whatever_can_be_set_as_a_need_can_be_taught() -> None:
    # A jar of a plant of the greatest need that can be set, 15 warm-days, past its best (× 1.3), and one of the least.
    for warm_days in (NEED_BOUNDS[0], NEED_BOUNDS[1] * PAST_SHARE):
        said, heats = needs_of((long_stood(Judgement.RIGHT),), ()), {"comfrey-1": a_heat(warm_days, 960.0)}
        assert plant_need("comfrey", said, heats).explained.own_jars == 1
