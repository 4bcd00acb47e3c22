"""Bottles: stock, keeping, and what is seen to."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.bottling import (
    Drawn,
    Emptied,
    Filled,
    LidClosed,
    Moved,
    bottle_from,
    bottle_warnings,
    check_bottle_entry,
    head_space,
    keep_until_at,
    loose_until_at,
    oldest_first,
)
from station.domain.storage import Keeping, Storage
from station.errors import NotebookError
from tests.builders import START


def day(days):
    return START + timedelta(days=days)


def filled(bottle_id="comfrey-1-a", at=START, volume_ml=200.0, bottle_ml=300.0, storage=Storage.COOL):
    return Filled(bottle_id, at, "comfrey-1", "comfrey", volume_ml, bottle_ml, storage)


def a_bottle(*entries, **how):
    return bottle_from((filled(**how), *entries))


def drawn(volume_ml, days=1.0):
    return Drawn("comfrey-1-a", day(days), volume_ml)


def test_stock_goes_down_with_what_is_taken_out():
    bottle = a_bottle(drawn(20.0), drawn(30.0, 2))
    assert bottle.left_ml == pytest.approx(150.0)
    assert bottle.in_store
    assert bottle.over_ml == 0.0


@given(st.lists(st.floats(0.1, 150.0), max_size=8))
def test_stock_never_goes_below_nothing_unseen(amounts_ml):
    bottle = a_bottle(*(drawn(amount) for amount in amounts_ml))
    assert bottle.left_ml >= 0.0
    assert bottle.left_ml - bottle.over_ml == pytest.approx(200.0 - sum(amounts_ml))
    said = " ".join(bottle_warnings(bottle, START))
    assert ("more were taken out" in said) == (sum(amounts_ml) > 200.0 + 1e-6)


def test_more_than_is_left_is_refused_until_insisted_upon():
    bottle = a_bottle(drawn(190.0))
    with pytest.raises(NotebookError) as caught:
        check_bottle_entry(bottle, drawn(20.0, 2))
    assert "10 mL (2.03 tsp) left" in caught.value.what
    assert "--anyway" in caught.value.remedy
    check_bottle_entry(bottle, drawn(20.0, 2), anyway=True)
    check_bottle_entry(bottle, drawn(10.0, 2))


def test_nothing_is_taken_from_an_empty_bottle_or_before_it_was_filled():
    with pytest.raises(NotebookError, match="is empty"):
        check_bottle_entry(a_bottle(Emptied("comfrey-1-a", day(1))), drawn(1.0, 2), anyway=True)
    with pytest.raises(NotebookError, match="was filled at"):
        check_bottle_entry(a_bottle(), drawn(1.0, -1))


def test_an_emptied_bottle_is_not_in_store():
    bottle = a_bottle(Emptied("comfrey-1-a", day(1), "spilt"))
    assert not bottle.in_store
    assert bottle.empty_reason == "spilt"


def test_juice_keeps_a_year_in_the_cool_and_30_days_in_the_room():
    # Natural-farming teaching texts: 1 to 15 °C for a year, or within 30 days at room temperature.
    assert keep_until_at(a_bottle()) == day(365)
    assert keep_until_at(a_bottle(storage=Storage.ROOM)) == day(30)
    assert keep_until_at(a_bottle(storage=Storage.ROOM), Keeping(room_days=10)) == day(10)


def test_half_its_time_in_the_room_leaves_half_a_year_in_the_cool():
    moved = Moved("comfrey-1-a", day(15), Storage.COOL)
    assert keep_until_at(a_bottle(moved, storage=Storage.ROOM)) == day(15 + 182.5)


def test_a_bottle_forgotten_in_the_room_is_not_saved_by_the_cellar():
    moved = Moved("comfrey-1-a", day(40), Storage.COOL)
    assert keep_until_at(a_bottle(moved, storage=Storage.ROOM)) == day(30)


def test_the_bottle_that_keeps_shortest_is_used_first():
    cool, warm = a_bottle(bottle_id="a", at=day(-60)), a_bottle(bottle_id="b", storage=Storage.ROOM)
    empty = bottle_from((filled("c"), Emptied("c", day(1))))
    assert [one.id for one in oldest_first([cool, warm, empty])] == ["b", "a"]


def test_head_space_and_a_loose_lid_are_asked_for():
    # Natural-farming teaching texts: bottle one third empty, lid loose for two weeks.
    assert head_space(a_bottle()) == pytest.approx(1 / 3)
    assert head_space(a_bottle(bottle_ml=None)) is None
    assert loose_until_at(a_bottle()) == day(14)
    assert bottle_warnings(a_bottle(), day(1)) == ()
    full = a_bottle(LidClosed("comfrey-1-a", day(3)), volume_ml=290.0)
    said = " ".join(bottle_warnings(full, day(400)))
    assert "3% of the bottle is empty" in said
    assert "loosen it" in said
    assert "keeping time" in said


def test_a_lid_closed_after_two_weeks_is_fine():
    assert bottle_warnings(a_bottle(LidClosed("comfrey-1-a", day(15))), day(16)) == ()
