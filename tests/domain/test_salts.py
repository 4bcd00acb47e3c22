from itertools import pairwise
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.salts import TABLE_C, TABLE_PCT, Salt, salt_rh_pct
from station.errors import JarsideError

salts = st.sampled_from(Salt)


@pytest.mark.parametrize("salt", Salt)
def test_each_salt_gives_its_table_at_the_tables_temperatures(salt):
    assert tuple(salt_rh_pct(salt, temp_c) for temp_c in TABLE_C) == pytest.approx(TABLE_PCT[salt])


@given(salt=salts, temp_c=st.floats(15, 30))
def test_between_two_points_of_the_table_the_humidity_lies_between_theirs(salt, temp_c):
    left_c, right_c = next(pair for pair in pairwise(TABLE_C) if pair[0] <= temp_c <= pair[1])
    assert salt_rh_pct(salt, right_c) - 1e-9 <= salt_rh_pct(salt, temp_c) <= salt_rh_pct(salt, left_c) + 1e-9


def test_half_way_between_two_points_is_their_mean():
    assert salt_rh_pct(Salt.POTASSIUM_CHLORIDE, 17.5) == pytest.approx((85.92 + 85.11) / 2)


@pytest.mark.parametrize("temp_c", [14.9, 30.1, nan])
def test_outside_the_table_it_says_so(temp_c):
    with pytest.raises(JarsideError) as refused:
        salt_rh_pct(Salt.SODIUM_CHLORIDE, temp_c)
    assert refused.value.what == f"sodium-chloride at {temp_c} °C"
    assert refused.value.remedy


def test_a_salt_is_found_by_the_name_that_people_type():
    assert Salt("sodium-chloride") is Salt.SODIUM_CHLORIDE
