"""Diluting juice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.dilution import (
    USUAL,
    Dilution,
    Measured,
    Ratio,
    diluted,
    dilution_from,
    drops,
    for_can,
    for_juice,
    for_water,
    in_cans,
    juice_text,
    mixture_text,
    strength_note,
    thinned_to,
)
from station.domain.quantities import Measures, volume_ml, volume_text
from station.errors import QuantityError

amounts_ml = st.floats(0.01, 1e6)
ratios = st.builds(Ratio, st.floats(1.5, 5000), st.booleans())


def test_a_us_quart_makes_125_us_gallons():
    # Common practice: 1 : 500, a US quart makes 125 US gallons.
    water_ml = for_juice(volume_ml("1qt")).water_ml
    assert volume_text(water_ml, Measures.US) == "125 gal"


@pytest.mark.parametrize(("water", "juice_ml"), [("1L", 2.0), ("10L", 20.0)])
def test_two_millilitres_go_to_a_litre(water, juice_ml):
    # Common practice: 1 part juice to 500 parts water.
    assert for_water(volume_ml(water)).juice_ml == pytest.approx(juice_ml)


@pytest.mark.parametrize(("juice", "water"), [("2.5tbsp", "5gal"), ("1 fl oz", "4gal")])
def test_the_kitchen_measures_of_the_trade_are_1_to_512(juice, water):
    # Common practice; 5 gal = 1280 tbsp and 4 gal = 512 fl oz by the US definitions (NIST SP 1038).
    assert Dilution(volume_ml(juice), volume_ml(water)).ratio == pytest.approx(512.0)


def test_one_in_500_and_one_to_500_are_told_apart():
    assert for_water(9980.0, dilution_from("1 in 500")).juice_ml == pytest.approx(20.0)
    assert for_water(10000.0, dilution_from("1 to 500")).juice_ml == pytest.approx(20.0)
    assert for_can(10000.0, dilution_from("1 in 500")).juice_ml == pytest.approx(20.0)
    assert for_can(10020.0, dilution_from("1:500")).juice_ml == pytest.approx(20.0)
    assert str(dilution_from("1 in 500")) == "1 in 500"
    assert str(dilution_from("500")) == "1 to 500"


def test_a_few_drops_go_into_half_a_cup():
    # Common practice: a few drops in half a cup; 20 drops to the mL.
    assert 3 <= drops(for_water(volume_ml("0.5cup")).juice_ml) <= 6
    assert drops(0.001) == 1


@pytest.mark.parametrize(
    "text", ["", "0", "1:0", "0:500", "-5", "1 on 500", "a few", "1 in 1", "1 in 0.5", "nan", "inf"]
)
def test_a_dilution_that_cannot_be_is_refused(text):
    with pytest.raises(QuantityError, match=r"1 in 500"):
        dilution_from(text)


@pytest.mark.parametrize(
    ("text", "water_parts"),
    [
        ("2:1000", 500.0),
        ("1 : 500", 500.0),
        ("1,000", 1000.0),
        ("1:1,000,000", 1e6),
        ("1/34", 34.0),
        ("1:33,3", 33.3),
        ("2,5:1,000", 400.0),
    ],
)
def test_a_dilution_is_read_however_it_is_written(text, water_parts):
    assert dilution_from(text).water_parts == pytest.approx(water_parts)


@given(amounts_ml, ratios)
def test_water_and_juice_invert(water_ml, ratio):
    mix = for_water(water_ml, ratio)
    assert for_juice(mix.juice_ml, ratio).water_ml == pytest.approx(water_ml)
    assert for_can(mix.can_ml, ratio).juice_ml == pytest.approx(mix.juice_ml)


@given(amounts_ml, ratios, st.floats(0.1, 50.0))
def test_diluting_is_linear(water_ml, ratio, factor):
    assert for_water(water_ml * factor, ratio).juice_ml == pytest.approx(for_water(water_ml, ratio).juice_ml * factor)


@given(amounts_ml, ratios, amounts_ml)
def test_cans_hold_all_of_the_mix_and_no_more(can_ml, ratio, each_ml):
    mix = for_can(can_ml, ratio)
    cans = in_cans(mix, max(each_ml, can_ml / 1000))
    last_ml = cans.last.can_ml if cans.last else 0.0
    assert cans.full * cans.each.can_ml + last_ml == pytest.approx(mix.can_ml, rel=1e-5)
    assert cans.each.ratio == pytest.approx(mix.ratio)


def test_a_can_that_is_too_strong_takes_more_water_and_one_that_is_thin_none():
    mix = Dilution(10.0, 2000.0)
    assert thinned_to(mix, USUAL) == pytest.approx(3000.0)
    assert thinned_to(mix, Ratio(100)) == 0.0


def test_water_alone_has_no_strength():
    assert Dilution(0.0, 1000.0).ratio == float("inf")
    assert strength_note(float("inf")) == ""
    assert strength_note(500.0) == ""
    assert "scorch" in strength_note(34.0)


@pytest.mark.parametrize("amount_ml", [0.0, -1.0, float("nan"), float("inf")])
def test_nothing_and_less_are_refused(amount_ml):
    for ask in (for_water, for_juice, for_can):
        with pytest.raises(QuantityError):
            ask(amount_ml)
    with pytest.raises(QuantityError):
        in_cans(for_can(10.0), amount_ml)


@pytest.mark.parametrize(
    ("known", "juice_ml", "water_ml"),
    [
        (Measured(water_ml=10_000.0), 20.0, 10_000.0),
        (Measured(juice_ml=20.0), 20.0, 10_000.0),
        (Measured(can_ml=5010.0), 10.0, 5000.0),
        (Measured(water_ml=5000.0, juice_ml=20.0), 20.0, 5000.0),
    ],
)
def test_one_amount_tells_the_others_and_two_tell_the_strength(
    known: Measured, juice_ml: float, water_ml: float
) -> None:
    found = diluted(known)

    assert found is not None
    mix, cans = found
    assert (mix.juice_ml, mix.water_ml) == (pytest.approx(juice_ml), pytest.approx(water_ml))
    assert cans is None


def test_a_can_beside_another_amount_tells_how_often_it_is_carried() -> None:
    found = diluted(Measured(water_ml=12_000.0, can_ml=5000.0))

    assert found is not None
    cans = found[1]
    assert cans is not None
    assert cans.full == 2
    assert diluted(Measured()) is None


def test_a_few_drops_are_said_as_drops() -> None:
    """Twenty drops to the millilitre: common practice."""
    assert juice_text(0.2) == "0.2 mL (0.04 tsp): about 4 drops"
    assert juice_text(0.05).endswith("about 1 drop")
    assert juice_text(20.0) == "20 mL (1.35 tbsp)"


def test_what_no_dropper_can_give_is_not_called_a_drop() -> None:
    """A drop, 0.05 mL, in a teaspoon of water (4.93 mL, a 768th of a US gallon) would be 1 to 99 and not 1 to 500."""
    spoon = for_water(volume_ml("1tsp"))
    assert juice_text(spoon.juice_ml) == "less than a drop: mix more at once"
    assert juice_text(for_water(volume_ml("1tbsp")).juice_ml).endswith("about 1 drop")


def test_a_mixture_is_said_with_its_strength() -> None:
    assert mixture_text(Dilution(10.0, 5000.0)) == "10 mL (2.03 tsp) juice in 5 L (1.32 gal) water (1 to 500)"
    assert mixture_text(Dilution(10.0, 0.0)).endswith("water (undiluted)")
    assert mixture_text(Dilution(100.0, 4.0)).endswith("(1 to 0.04)")
