"""Numbers with their units, as people read them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.figures import counted, light_text, number_text, rh_text, temp_text


@pytest.mark.parametrize(
    ("temp_c", "unit", "text"),
    [
        (20.44, "C", "20.4 °C"),
        (20.44, "F", "68.8 °F"),
        (-3.25, "C", "−3.2 °C"),
        (-0.04, "C", "0.0 °C"),
        (0.0, "F", "32.0 °F"),  # the freezing point of water on both scales, by their definition
        (100.0, "F", "212.0 °F"),  # and its boiling point
    ],
)
def test_a_temperature_reads_in_the_chosen_unit(temp_c: float, unit: str, text: str) -> None:
    assert temp_text(temp_c, unit) == text  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("light_lx", "text"),
    [(0.0, "0 lx"), (0.44, "0.4 lx"), (7.0, "7 lx"), (120.4, "120 lx"), (18437.0, "18,400 lx"), (54612.0, "54,600 lx")],
)
def test_light_reads_to_three_digits_at_most(light_lx: float, text: str) -> None:
    assert light_text(light_lx) == text


@given(st.floats(0, 200_000))
def test_the_light_that_is_read_is_the_light_that_was_measured(light_lx: float) -> None:
    said = float(light_text(light_lx).removesuffix(" lx").replace(",", ""))

    half_a_digit = max(0.05, 0.0051 * light_lx, 0.5 if light_lx >= 9.95 else 0.0)
    assert abs(said - light_lx) <= half_a_digit + 1e-9  # 0.8 − 0.75 is a little more than 0.05 to a computer


def test_numbers_never_read_minus_nothing() -> None:
    assert number_text(-0.04, 1) == "0.0"
    assert number_text(-1234.5, 1) == "−1,234.5"
    assert rh_text(54.6) == "55 %"


@pytest.mark.parametrize(
    ("number", "text"),
    [(0, "0 gaps"), (1, "1 gap"), (1.0, "1 gap"), (1.5, "1.5 gaps"), (7.0, "7 gaps"), (1234, "1,234 gaps")],
)
def test_one_is_told_apart_from_several(number: float, text: str) -> None:
    assert counted(number, "gap") == text
    assert counted(1, "entry", "entries") == "1 entry"
    assert counted(2, "entry", "entries") == "2 entries"
