"""The dilution helper: what follows from one amount, and what two tell."""

from dataclasses import replace

import pytest

from dashboard.forms import Form
from dashboard.views.can import CanView, can_view, meaning, measured_in, ratio_in
from station.domain.bottling import Bottle
from station.domain.dilution import USUAL, Measured, Ratio
from station.domain.quantities import Measures
from station.domain.storage import Storage
from tests.dashboard.world import MANNER, at


def a_bottle(name: str, left_ml: float, day: float = 0.0) -> Bottle:
    return Bottle(name, "", "comfrey", at(day), left_ml, stays=((at(day), Storage.COOL),))


def worked(known: Measured, ratio: Ratio = USUAL, *bottles: Bottle) -> CanView:
    view = can_view(known, ratio, bottles, MANNER)
    assert view is not None
    return view


def test_ten_litres_of_water_take_twenty_millilitres() -> None:
    """1 to 500 (common practice): 10 L of water take 20 mL."""
    view = worked(Measured(water_ml=10_000.0))

    assert view.title == "For 10 L (2.64 gal) of water"
    assert dict(view.lines) == {
        "Juice": "20 mL (1.35 tbsp)",
        "Water": "10 L (2.64 gal)",
        "1 to 500": "one part and 500 parts of water",
    }


def test_one_in_500_is_not_one_to_500() -> None:
    to, whole = worked(Measured(juice_ml=20.0)), worked(Measured(juice_ml=20.0), Ratio(500.0, in_whole=True))

    assert dict(to.lines)["Water"] == "10 L (2.64 gal)"
    assert dict(whole.lines)["Water"] == "9.98 L (2.64 gal)"  # 499 parts
    assert meaning(Ratio(500.0, in_whole=True)) == "one part in 500 of the whole, so 499 of water"


def test_a_soak_for_seeds_is_counted_in_drops() -> None:
    """Twenty drops to the millilitre: common practice."""
    assert dict(worked(Measured(water_ml=100.0)).lines)["Juice"] == "0.2 mL (0.04 tsp): about 4 drops"


def test_twelve_litres_are_carried_in_three_walks() -> None:
    lines = dict(worked(Measured(water_ml=12_000.0, can_ml=5000.0)).lines)

    assert lines["2 cans of 5 L (1.32 gal)"] == "10 mL (2.03 tsp) in each"  # 9.98 mL: nobody can tell
    assert lines["And the last, 2.02 L (2.14 qt)"] == "4 mL (0.81 tsp)"


def test_water_and_juice_tell_how_strong_a_can_is() -> None:
    view = worked(Measured(water_ml=5000.0, juice_ml=100.0))

    assert view.title == "This can is 1 to 50"
    assert dict(view.lines)["For 1 to 500"] == "add 45 L (11.9 gal) of water"
    assert view.warning.startswith("1 to 50 is strong")


def test_a_can_that_is_thin_already_wants_no_water() -> None:
    view = worked(Measured(water_ml=5000.0, juice_ml=5.0))

    assert dict(view.lines)["For 1 to 500"] == "it is as thin already"
    assert view.warning == ""


def test_the_juice_is_taken_from_the_oldest_bottle_with_enough() -> None:
    bottles = (a_bottle("young", 500.0, 9.0), a_bottle("old", 15.0), a_bottle("middle", 60.0, 4.0))

    view = worked(Measured(water_ml=10_000.0), USUAL, *bottles)

    assert view.source == "middle, which has 60 mL (2.03 fl oz)"
    assert worked(Measured(water_ml=1e6), USUAL, *bottles).source == ""


def test_a_grower_with_gallons_reads_gallons_first() -> None:
    view = can_view(Measured(can_ml=3785.411784), USUAL, (), replace(MANNER, measures=Measures.US))

    assert view is not None
    assert view.title == "For a can of 1 gal (3.79 L)"
    assert dict(view.lines)["Juice"] == "1.53 tsp (7.6 mL)"


def test_nothing_follows_from_nothing() -> None:
    assert can_view(Measured(), USUAL, (), MANNER) is None


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({}, "1 to 500"),
        ({"ratio": "800"}, "1 to 800"),
        ({"ratio": "800", "counts": "in"}, "1 in 800"),
        ({"ratio": "1 to 800", "counts": "in"}, "1 to 800"),
        ({"ratio": "1 in 300", "counts": "to"}, "1 in 300"),
        ({"ratio": "1:250", "counts": "in"}, "1 to 250"),
    ],
)
def test_a_bare_number_counts_as_chosen_and_a_ratio_as_written(fields: dict[str, str], expected: str) -> None:
    form = Form({name: [text] for name, text in fields.items()})

    assert str(ratio_in(form)) == expected
    assert form.ok


def test_what_cannot_be_read_is_said_at_its_field() -> None:
    form = Form({"ratio": ["0"], "water": ["seven"], "juice": ["-2 mL"], "can": ["1 L"]})

    assert ratio_in(form) == USUAL
    assert measured_in(form, Measures.METRIC) == Measured(can_ml=1000.0)
    assert all(form.wrong(name) for name in ("ratio", "water", "juice"))
    assert form.wrong("can") is None


@pytest.mark.parametrize(
    ("measures", "water_ml", "juice_ml"),
    [(Measures.METRIC, 2500.0, 20.0), (Measures.US, 9463.52946, 591.47059125)],
)
def test_a_bare_number_is_in_the_unit_that_the_label_names(
    measures: Measures, water_ml: float, juice_ml: float
) -> None:
    """A US gallon is 231 cubic inches, a fluid ounce the 128th part of it (NIST Handbook 44, appendix C)."""
    known = measured_in(Form({"water": ["2.5"], "juice": ["20"], "can": ["500 mL"]}), measures)

    assert (known.water_ml, known.juice_ml) == (pytest.approx(water_ml), pytest.approx(juice_ml))
    assert known.can_ml == 500.0
