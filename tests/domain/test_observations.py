"""What follows from what is seen at a jar."""

import itertools
from datetime import timedelta

import pytest

from station.domain.jars import Noted, NoteTakenBack, Packed, jar_from
from station.domain.note_advice import advice_after, advice_on, grave_notes, must_discard
from station.domain.observations import Act, Bubbles, Juice, Seen, Smell, Surface, advice
from station.domain.preparations import Preparation
from tests.builders import START

LOOKS = [
    Seen(*values) for values in itertools.product((None, *Juice), (None, *Smell), (None, *Bubbles), (None, *Surface))
]


def acts(age_h=48.0, preparation=Preparation.FERMENT, **seen):
    return [one.act for one in advice(Seen(**seen), age_h, preparation)]


def noted(**seen):
    return Noted("comfrey-1", START, "", Seen(**seen))


@pytest.mark.parametrize("seen", [{"surface": Surface.FUZZY}, {"surface": Surface.COLOURED}, {"smell": Smell.FOUL}])
def test_mould_or_a_foul_smell_means_discard_and_do_not_taste(seen):
    # NDSU Extension (USDA Complete Guide to Home Canning): bad odour, mould or slime: do not taste.
    (only,) = advice(Seen(**seen), 48.0)
    assert only.act is Act.DISCARD
    assert "do not taste" in only.text


def test_nothing_else_is_advised_beside_a_discard():
    for seen in LOOKS:
        said = {one.act for one in advice(seen, 48.0)}
        assert said == {Act.DISCARD} or Act.DISCARD not in said


def test_every_look_gets_an_answer_the_gravest_first():
    order = list(Act)
    for seen in LOOKS:
        said = [order.index(one.act) for one in advice(seen, 30.0)]
        assert said
        assert said == sorted(said)


def test_a_smooth_film_is_watched():
    assert acts(surface=Surface.FILM) == [Act.WATCH]


def test_no_juice_matters_after_a_day_only():
    assert acts(5.0, juice=Juice.NONE) == [Act.NOTHING]
    assert acts(25.0, juice=Juice.NONE) == [Act.CORRECT]
    assert acts(25.0, juice=Juice.SOME) == [Act.CORRECT]
    assert acts(25.0, juice=Juice.COVERING) == [Act.NOTHING]


def test_yeast_without_bubbles_points_to_straining():
    assert acts(120.0, smell=Smell.YEASTY, bubbles=Bubbles.NONE) == [Act.STRAIN]
    assert acts(120.0, smell=Smell.YEASTY, bubbles=Bubbles.MANY) == [Act.WATCH]


def test_a_water_steep_may_stink():
    assert acts(smell=Smell.FOUL, preparation=Preparation.STEEP) == [Act.NOTHING]
    assert acts(surface=Surface.FUZZY, preparation=Preparation.STEEP) == [Act.DISCARD]


def a_jar_with(*notes):
    return jar_from([Packed("comfrey-1", START, "comfrey", 1000.0), *notes])


def test_mould_once_seen_is_not_forgotten():
    seen = (Surface.FUZZY, Surface.CLEAR, Surface.COLOURED)
    assert [one.act for one in must_discard(a_jar_with(*(noted(surface=one) for one in seen)))] == [Act.DISCARD]
    assert must_discard(a_jar_with(noted(surface=Surface.CLEAR))) == ()


def test_a_fine_look_after_a_foul_one_does_not_say_that_there_is_nothing_to_do():
    foul = Noted("comfrey-1", START + timedelta(days=1), "", Seen(smell=Smell.FOUL))
    fine = Noted("comfrey-1", START + timedelta(days=2), "", Seen(smell=Smell.SWEET))
    jar = a_jar_with(foul, fine)
    (said,) = advice_after(jar, fine)
    assert said.act is Act.DISCARD
    assert said.text.startswith("An earlier note still counts. Foul smell")
    assert grave_notes(jar) == (foul,)
    taken_back = NoteTakenBack("comfrey-1", fine.at, foul.at)
    (said,) = advice_after(a_jar_with(foul, fine, taken_back), fine)
    assert said.act is Act.NOTHING
    assert grave_notes(a_jar_with(foul, fine, taken_back)) == ()


def test_a_foul_look_speaks_for_itself():
    foul = Noted("comfrey-1", START, "", Seen(smell=Smell.FOUL))
    assert advice_after(a_jar_with(foul), foul) == advice_on(a_jar_with(foul), foul)
