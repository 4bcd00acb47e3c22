"""Numbers from fields."""

import math

import pytest

from dashboard.figures import count_up_to, figure_from
from station.errors import QuantityError


@pytest.mark.parametrize(("text", "figure"), [("14", 14.0), (" 14,5 ", 14.5), ("−2", -2.0), ("-2.5", -2.5)])
def test_a_number_is_read_with_comma_or_point_and_either_minus(text: str, figure: float) -> None:
    assert figure_from(text) == figure


@pytest.mark.parametrize("text", ["", "ten", "1.2.3", "1 2", "nan"])
def test_what_is_no_number_lies_in_no_range(text: str) -> None:
    assert math.isnan(figure_from(text))


@pytest.mark.parametrize("text", ["0", "13", "-1", "1.5", "²", "twelve", "9" * 5000])
def test_a_count_is_a_whole_number_within_its_bounds(text: str) -> None:
    assert count_up_to(12)("12") == 12
    with pytest.raises(QuantityError, match="from 1 to 12"):
        count_up_to(12)(text)
