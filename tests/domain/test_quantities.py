"""Weights and volumes as people type and read them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.dilution import dilution_from
from station.domain.mix import ratio_from
from station.domain.quantities import (
    DROP_ML,
    Measures,
    both_volumes,
    both_weights,
    volume_ml,
    volume_text,
    weight_g,
    weight_text,
)
from station.errors import QuantityError

DIGITS = "9" * 60_000

# NIST Special Publication 1038 (2006), conversion factors; imperial: UK Units of Measurement Regulations 1995.
VOLUMES = [
    ("1L", 1000.0),
    ("20mL", 20.0),
    ("20 ml", 20.0),
    ("75cl", 750.0),
    ("1gal", 3785.411784),
    ("2qt", 1892.705892),
    ("1pt", 473.176473),
    ("0.5cup", 118.29411825),
    ("1 fl oz", 29.5735295625),
    ("1floz", 29.5735295625),
    ("2.5tbsp", 36.966911953125),
    ("1 tsp", 4.92892159375),
    ("1 imp gal", 4546.09),
    ("1gal imp", 4546.09),
    ("2 imp pt", 1136.5225),
    ("1 imp fl oz", 28.4130625),
    ("½ cup", 118.29411825),
    ("1/2 cup", 118.29411825),
    ("1 1/2 cups", 354.88235475),
    ("1½ cups", 354.88235475),
    ("1,5 L", 1500.0),
    ("2 gal 1 qt", 8517.176514),
    ("3 drops", 3 * DROP_ML),
    (".5L", 500.0),
    ("10 litres", 10000.0),
    ("2 fluid ounces", 59.147059125),
]
WEIGHTS = [
    ("125g", 125.0),
    ("4.5oz", 127.5728540625),
    ("1lb", 453.59237),
    ("2 lbs", 907.18474),
    ("1.2kg", 1200.0),
    ("1 lb 4 oz", 566.9904625),
    ("0,25 kg", 250.0),
    ("0,125 kg", 125.0),
    ("250 grams", 250.0),
]


@pytest.mark.parametrize(("text", "expected_ml"), VOLUMES)
def test_a_typed_volume_is_read_with_its_unit(text, expected_ml):
    assert volume_ml(text) == pytest.approx(expected_ml, rel=1e-9)


@pytest.mark.parametrize(("text", "expected_g"), WEIGHTS)
def test_a_typed_weight_is_read_with_its_unit(text, expected_g):
    assert weight_g(text) == pytest.approx(expected_g, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("125", "no unit"),
        ("1/2", "no unit"),
        ("-5g", "negative"),
        ("−5 g", "negative"),
        ("0g", "above 0"),
        ("1e5g", "e is not a unit"),
        ("nan g", "can be read"),
        ("inf g", "can be read"),
        ("", "can be read"),
        ("g", "can be read"),
        ("5 stone", "stone is not a unit"),
        ("1,000 g", "two numbers"),
        ("1,250 kg", "two numbers"),
        ("12'500 g", "two numbers"),
        ("1L", "is a volume"),
        ("5g and more", "read"),
        ("9" * 40 + "kg", "garden"),
        ("1/0 kg", "above 0"),
        ("1 imp lb", "imp is known"),
        ("<b>5</b>g", "can be read"),
    ],
)
def test_a_weight_that_cannot_be_is_refused_with_the_choices(text, says):
    with pytest.raises(QuantityError) as caught:
        weight_g(text)
    assert says in caught.value.what
    assert "125g" in caught.value.remedy


def test_ounces_where_a_volume_is_wanted_point_to_fluid_ounces():
    with pytest.raises(QuantityError) as caught:
        volume_ml("4oz")
    assert "is a weight" in caught.value.what
    assert "fl oz" in caught.value.remedy


def test_a_bare_number_names_the_choices_of_volumes():
    with pytest.raises(QuantityError) as caught:
        volume_ml("10")
    assert all(unit in caught.value.remedy for unit in ("mL", "L", "tbsp", "cup", "fl oz", "qt", "gal", "imp"))


@pytest.mark.parametrize(
    ("amount_ml", "metric", "us"),
    [
        (20.0, "20 mL", "1.35 tbsp"),
        (0.24, "0.24 mL", "0.05 tsp"),
        (946.352946, "946 mL", "1 qt"),
        (473176.473, "473 L", "125 gal"),
        (999.6, "1 L", "1.06 qt"),
        (29.5735295625, "29.6 mL", "2 tbsp"),
        (250.0, "250 mL", "8.45 fl oz"),
        (394.5, "394 mL", "13.3 fl oz"),
        (45_000.0, "45 L", "11.9 gal"),
        (9_996.0, "10 L", "2.64 gal"),
        (99_960.0, "100 L", "26.4 gal"),
        (4_732_000.0, "4,732 L", "1,250 gal"),
    ],
)
def test_a_volume_is_shown_in_a_handy_unit(amount_ml, metric, us):
    assert volume_text(amount_ml) == metric
    assert volume_text(amount_ml, Measures.US) == us
    assert both_volumes(amount_ml, Measures.US) == f"{us} ({metric})"


@pytest.mark.parametrize(
    ("mass_g", "metric", "us"),
    [
        (83.3, "83 g", "2.9 oz"),
        (4.25, "4.2 g", "0.15 oz"),
        (1250.0, "1.25 kg", "2 lb 12.1 oz"),
        (453.59237, "454 g", "1 lb"),
        (453.0, "453 g", "1 lb"),
        (999.7, "1 kg", "2 lb 3.3 oz"),
        (12_345.0, "12.3 kg", "27 lb 3 oz"),
        (52_000.0, "52 kg", "115 lb"),
        (378.0, "378 g", "13.3 oz"),
    ],
)
def test_a_weight_is_shown_in_a_handy_unit(mass_g, metric, us):
    assert weight_text(mass_g) == metric
    assert weight_text(mass_g, Measures.US) == us
    assert both_weights(mass_g) == f"{metric} ({us})"


@given(st.floats(0.05, 1e6), st.sampled_from(Measures))
def test_a_shown_volume_reads_back(amount_ml, measures):
    shown = volume_text(amount_ml, measures).replace(",", "")
    coarsest_ml = 0.025 if amount_ml < 3 else 0.0
    assert volume_ml(shown) == pytest.approx(amount_ml, rel=0.025, abs=coarsest_ml)


@given(st.floats(0.05, 1e7), st.sampled_from(Measures))
def test_an_amount_has_no_more_digits_than_a_jug_can_bear_out(amount_ml, measures):
    """A fourth digit, as in 13.34 fl oz, would claim a hundredth of what a measuring jug can show."""
    number = volume_text(amount_ml, measures).partition(" ")[0].replace(",", "")
    assert "." not in number or len(number.replace(".", "").lstrip("0")) <= 3


@given(st.floats(1.0, 1e6), st.sampled_from(Measures))
def test_a_shown_weight_reads_back(mass_g, measures):
    shown = weight_text(mass_g, measures).replace(",", "")
    assert weight_g(shown) == pytest.approx(mass_g, rel=0.05, abs=0.15)


@given(st.floats(0.001, 1e5), st.sampled_from(["fl oz", "pt", "qt", "gal"]))
def test_imperial_measures_differ_from_us_ones_by_their_gallon(number, unit):
    ratio = volume_ml(f"{number:.6f} imp {unit}") / volume_ml(f"{number:.6f} {unit}")
    expected = 28.4130625 / 29.5735295625 if unit == "fl oz" else 4546.09 / 3785.411784
    assert ratio == pytest.approx(expected)


def grams_or_remedy(text):
    try:
        return weight_g(text)
    except QuantityError as error:
        return error.remedy


@given(st.text(max_size=40) | st.from_regex(r"[0-9.,/ ½-]{1,6} ?(kg|g|oz|lb|L|imp)?", fullmatch=True))
def test_any_text_is_a_weight_or_a_clear_refusal(text):
    answer = grams_or_remedy(text)
    assert "Write a weight" in answer if isinstance(answer, str) else 0 < answer <= 1e9


def test_a_spoon_says_what_the_millilitres_before_it_say():
    """A teaspoon is 4.92892 mL (a 768th of the gallon of 231 cubic inches): 10 mL are 2.03."""
    assert both_volumes(10.04) == both_volumes(10.0) == "10 mL (2.03 tsp)"
    assert both_volumes(10_000_000.0).startswith("10,000 L")


@pytest.mark.parametrize("read", [weight_g, volume_ml, ratio_from, dilution_from])
@pytest.mark.parametrize(
    "text", [DIGITS + "~", "1/" + DIGITS + "~", "1" + " " * 60_000 + "~", DIGITS + ":" + DIGITS + "~"]
)
def test_a_field_full_of_digits_is_refused_before_the_day_is_over(read, text):
    """A pattern that goes back on what it read takes hours over it, and every page of the program waits."""
    with pytest.raises(QuantityError):
        read(text)
