"""Bottles: what the store and a bottle's own page say, and what is drawn."""

from dataclasses import replace

import pytest

from dashboard.bottle_drawing import BODY_SHARE, FLOOR, SHOULDER, BottlePicture, Lid, bottle_svg, height, scale_of
from dashboard.views.bottles import bottle_card, bottle_view, store_view
from station.domain.bottling import BottleEntry, Drawn, Emptied, Filled, LidClosed, Moved, bottle_from
from station.domain.feeding import Fed, Method
from station.domain.quantities import Measures
from station.domain.storage import Storage
from tests.dashboard.world import MANNER, a_jar, at

DAY_ONE = at(1)


def filled(**changes: object) -> Filled:
    return replace(Filled("comfrey-1-a", at(0), "comfrey-1", "comfrey", 160.0, 250.0), **changes)  # type: ignore[arg-type]


def told(*rest: BottleEntry) -> tuple[BottleEntry, ...]:
    return (filled(), *rest)


def test_a_fresh_bottle_keeps_a_loose_lid_for_two_weeks() -> None:
    """Two weeks, a third empty, a year in the cool: natural-farming teaching texts (check values)."""
    card = bottle_card(bottle_from(told()), DAY_ONE, MANNER)

    assert card.left == "160 mL (5.41 fl oz) left"
    assert card.keeps == "cool and dark, keeps until Tue 4 May 2027"
    assert (card.lid, card.pressing) == ("Lid loose until Mon 18 May", "today")
    assert (card.picture.lid, card.picture.level, card.picture.tag) == (Lid.LOOSE, 0.64, "160 mL")


def test_after_two_weeks_nothing_is_said_of_the_lid() -> None:
    assert bottle_card(bottle_from(told()), at(15), MANNER).lid == ""


def test_a_lid_closed_too_early_is_pressing() -> None:
    card = bottle_card(bottle_from(told(LidClosed("comfrey-1-a", at(3)))), at(4), MANNER)

    assert card.pressing == "act"
    assert "loosen it" in card.mind[0]
    assert card.picture.lid is Lid.CLOSED


def test_the_soonest_out_of_its_time_stands_first() -> None:
    """Thirty days at room temperature come before a year in the cool, though it was filled later."""
    cool = bottle_from((filled(bottle_id="a"),))
    room = bottle_from((filled(bottle_id="b", at=at(5), storage=Storage.ROOM),))
    gone = bottle_from((filled(bottle_id="c"), Emptied("c", at(6), "spilt")))

    view = store_view((cool, gone, room), at(7), MANNER)

    assert [card.id for card in view.stored] == ["b", "a"]
    assert [card.id for card in view.empty] == ["c"]
    assert view.heading == "2 bottles in store: 320 mL (10.8 fl oz) of juice"


def test_an_empty_store_says_so() -> None:
    assert store_view((), at(0), MANNER).heading == "No bottle in store"


def test_a_grower_with_cups_reads_ounces_first() -> None:
    card = bottle_card(bottle_from(told()), DAY_ONE, replace(MANNER, measures=Measures.US))

    assert card.left == "5.41 fl oz (160 mL) left"
    assert card.picture.tag == "5.41 fl oz"


def test_its_history_tells_where_the_juice_went_and_where_it_stood() -> None:
    fed = Fed("feed-1", at(3), Method.LEAF_SPRAY, 10.0, 5000.0, "beans", "comfrey-1-a")
    entries = told(
        Drawn("comfrey-1-a", at(3), 10.0, "feed-1"),
        Moved("comfrey-1-a", at(4), Storage.ROOM),
        Drawn("comfrey-1-a", at(5), 20.0, note="for a neighbour"),
        Emptied("comfrey-1-a", at(6), "spilt"),
    )

    view = bottle_view(entries, None, [fed], at(7), MANNER)

    assert [line.text for line in view.history] == [
        "Emptied: spilt",
        "20 mL (1.35 tbsp) taken out: for a neighbour",
        "Now at room temperature",
        "10 mL (2.03 tsp) taken out: leaf spray, beans",
        "Filled with 160 mL (5.41 fl oz), cool and dark",
    ]
    assert dict(view.facts)["Taken out"] == "30 mL (2.03 tbsp)"
    assert (view.card.left, view.gas) == ("empty", "")


def test_the_pressure_behind_a_lid_is_told_where_sugar_and_size_are_known() -> None:
    known = bottle_view(told(), a_jar(), (), DAY_ONE, MANNER)

    assert known.gas.startswith("Closed tightly it could reach ")
    assert known.jar_id == "comfrey-1"
    assert bottle_view(told(), None, (), DAY_ONE, MANNER).gas == ""
    assert bottle_view((filled(bottle_ml=None),), a_jar(), (), DAY_ONE, MANNER).gas == ""


def test_juice_stands_as_high_as_there_is_of_it() -> None:
    levels = [n / 50 for n in range(51)]

    assert height(0.0) == FLOOR
    assert height(BODY_SHARE) == pytest.approx(SHOULDER)
    assert [height(level) for level in levels] == sorted((height(level) for level in levels), reverse=True)
    assert height(-1.0) == FLOOR
    assert height(7.0) == height(1.0)


def test_a_drawing_shows_level_lid_and_a_tag_that_is_only_text() -> None:
    full = bottle_svg(BottlePicture(0.6, 0.6, Lid.LOOSE, 1.0, tag="<b>9</b>"))
    empty = bottle_svg(BottlePicture(0.0, 0.6, Lid.CLOSED))

    assert 'class="juice old"' in full
    assert "juice" not in empty
    assert "rotate(13" in full
    assert "rotate(13" not in empty
    assert "<b>" not in full
    assert 'class="juice past"' in bottle_svg(BottlePicture(0.4, 0.6, past=True))


def test_large_bottles_are_drawn_larger() -> None:
    assert scale_of(250.0) < scale_of(500.0) < scale_of(1000.0)
    assert scale_of(None) == scale_of(500.0)
