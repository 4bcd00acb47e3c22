"""Packing records, checklist and warnings."""

from dataclasses import replace

import pytest

from station.domain.packing import PLAINLY, Cover, Vessel, checklist, packing_warnings
from station.domain.preparations import Preparation


def warned(plant_g=125.0, sugar_g=83.3, jar_ml=1000.0, **how):
    return " ".join(packing_warnings(replace(PLAINLY, **how), jar_ml, plant_g, sugar_g))


def test_a_packing_by_the_book_warns_of_nothing():
    assert warned(stone_boiled=True) == ""


@pytest.mark.parametrize(
    ("how", "says"),
    [
        ({"vessel": Vessel.METAL}, "Metal"),
        ({"cover": Cover.TIGHT_LID}, "burst"),
        ({"cover": Cover.NONE}, "flies"),
        ({"stone_boiled": False}, "boil it 5 to 10 minutes"),
        ({"plant_g": 200.0, "sugar_g": 133.0}, "Over-filled"),
        ({"plant_g": 125.0, "sugar_g": 74.0}, "Little sugar"),
        ({"plant_g": 20.0, "sugar_g": 61.0}, "Much sugar"),
        ({"plant_g": 20.0, "sugar_g": 0.0}, "Little sugar"),
    ],
)
def test_what_should_be_put_right_is_said(how, says):
    assert says in warned(**how)


@pytest.mark.parametrize(("plant_g", "sugar_g"), [(100.0, 300.0), (100.0, 60.0), (125.0, 125.0)])
def test_ratios_from_1_to_3_up_to_5_to_3_are_not_remarked_on(plant_g, sugar_g):
    assert warned(plant_g=plant_g, sugar_g=sugar_g) == ""


def test_a_jar_three_quarters_full_is_not_yet_over_filled():
    # Natural-farming teaching texts: fill two thirds to three quarters. 125 g fills two thirds of a litre.
    assert "Over-filled" not in warned(plant_g=140.0, sugar_g=93.0)
    assert "Over-filled" in warned(plant_g=141.0, sugar_g=94.0)


@pytest.mark.parametrize(("plant_g", "says"), [(187.0, "less than a quarter"), (188.0, "more than it holds")])
def test_what_a_jar_cannot_hold_is_not_said_to_leave_room(plant_g, says):
    """125 g fill two thirds of a litre (common practice), so 187.5 g all of it."""
    assert says in warned(plant_g=plant_g, sugar_g=plant_g)


def test_weights_never_taken_are_not_judged():
    assert packing_warnings(PLAINLY, 1000.0, None, None) == ()


def test_sugar_is_no_matter_for_a_vinegar_extraction_but_a_tight_lid_is():
    how = {"preparation": Preparation.VINEGAR, "plant_g": 300.0, "sugar_g": None}
    assert warned(**how) == ""
    assert "fizz" in warned(cover=Cover.TIGHT_LID, **how)


@pytest.mark.parametrize("preparation", Preparation)
def test_every_preparation_has_its_checklist_with_a_label(preparation):
    steps = checklist(preparation)
    assert len(steps) >= 3
    assert steps[-1].startswith("Label")


def test_the_ferments_checklist_names_what_the_trade_names():
    # Common practice; CTAHR SA-7: not rinsed, glass not metal, breathable cover; boil the stone 5 to 10 minutes.
    said = " ".join(checklist(Preparation.FERMENT))
    for word in ("unwashed", "cap", "boiled", "loth", "never a tight lid", "metal", "third"):
        assert word in said


def test_days_stand_for_preparations_and_warmth_for_ferments():
    assert PLAINLY.stand_days is None
    assert replace(PLAINLY, preparation=Preparation.STEEP).stand_days == 7.0
    assert replace(PLAINLY, preparation=Preparation.STEEP, days=14.0).stand_days == 14.0
