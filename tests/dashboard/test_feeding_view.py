"""Feeding: when a round is due, how soaking seeds stand, which hour is good, and how a round fills in a form."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from dashboard.forms import Form
from dashboard.views.can import measured_in, ratio_in
from dashboard.views.feeding import (
    advice_now,
    bottle_choices,
    fed_line,
    feeding_view,
    round_fields,
    round_lines,
    soak_line,
    soaking,
    typed_volume,
)
from station.domain.bottling import Bottle
from station.domain.feeding import Fed, Method
from station.domain.quantities import Measures, volume_ml
from station.domain.rounds import Round, RoundSet
from station.domain.storage import Storage
from tests.dashboard.pantry import a_soak
from tests.dashboard.world import MANNER, at


def a_round(**changes: object) -> Round:
    rule = RoundSet("beans-1", at(0), Method.LEAF_SPRAY, "beans", water_ml=5000.0)
    return replace(Round("beans-1", rule), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("day", "text", "pressing"),
    [
        (16.0, "leaf spray, beans: next 21 May to 24 May, in the morning", "calm"),
        (18.0, "leaf spray, beans: due now, 21 May to 24 May, in the morning", "today"),
        (22.0, "leaf spray, beans: late, was due 21 May to 24 May; do it in the morning", "act"),
    ],
)
def test_a_round_is_due_seven_to_ten_days_after_the_last(day: float, text: str, pressing: str) -> None:
    """Leaf spray every 7 to 10 days in the morning: common practice. The last was on 14 May."""
    (line,) = round_lines([a_round(done_at=(at(10),))], at(day), MANNER)

    assert (line.text, line.pressing) == (text, pressing)


def test_the_next_due_comes_first_and_a_stopped_round_is_gone() -> None:
    later = a_round(id="later-1", done_at=(at(9),))
    over = a_round(id="over-1", stopped_at=at(1))

    assert [line.id for line in round_lines([later, over, a_round()], at(9), MANNER)] == ["beans-1", "later-1"]


@pytest.mark.parametrize(
    ("minutes", "state", "left", "pressing"),
    [
        (1, "leave them in", "19 min left", "calm"),
        (20, "may come out", "11 h 40 min left", "today"),
        (12 * 60 + 1, "take them out now", "", "act"),
    ],
)
def test_seeds_soak_from_twenty_minutes_to_overnight(minutes: int, state: str, left: str, pressing: str) -> None:
    """From 20 minutes, not longer than overnight: common practice."""
    line = soak_line(a_soak(at(0)), at(0) + timedelta(minutes=minutes), MANNER)

    assert (line.state, line.left, line.pressing) == (state, left, pressing)
    over = "should have come out by 19:00"
    assert line.times == f"In since 07:00; they {'may come out from 07:20, and must by 19:00' if left else over}."


def test_a_soak_is_over_when_it_was_ended_or_forgotten() -> None:
    open_end, ended = a_soak(at(0)), a_soak(at(0), at(0.05))

    assert soaking(open_end, at(0.5))
    assert soaking(ended, at(0.04))
    assert not soaking(ended, at(0.05))
    assert not soaking(open_end, at(2))
    assert not soaking(open_end, at(-0.1))
    assert not soaking(replace(open_end, method=Method.DRENCH), at(0.01))


def test_leaf_spray_is_for_the_morning() -> None:
    """In the morning, not at dusk: common practice. The shelf of these tests lies at 50° N 8° E."""
    assert advice_now(Method.LEAF_SPRAY, at(0, hours=1), MANNER).good
    assert not advice_now(Method.LEAF_SPRAY, at(0, hours=6), MANNER).good
    assert "invite mildew" in advice_now(Method.LEAF_SPRAY, at(0, hours=14), MANNER).text
    assert advice_now(Method.LEAF_SPRAY, at(0, hours=1), replace(MANNER, place=None)).good


def test_the_page_tells_rounds_soaks_hours_and_history() -> None:
    fed = Fed("feed-1", at(0), Method.DRENCH, 20.0, 10_000.0, "tomatoes", "comfrey-1-a", note="dry soil")

    view = feeding_view([a_round()], [a_soak(at(1)), fed], at(1, minutes=5), MANNER, most=1)

    assert len(view.rounds) == len(view.soaks) == len(view.history) == 1
    assert [method for method, _ in view.advice] == ["leaf spray", "drench"]
    line = fed_line(fed, MANNER)
    assert (line.when, line.what, line.source) == ("Mon 4 May 07:00", "drench, tomatoes", "comfrey-1-a")
    assert line.mixture == "20 mL (1.35 tbsp) juice in 10 L (2.64 gal) water (1 to 500)"


def test_the_end_of_a_soak_stands_behind_its_begin() -> None:
    assert fed_line(a_soak(at(0), at(0, minutes=30)), MANNER).when == "Mon 4 May 07:00 to 07:30"


def test_the_oldest_bottle_is_offered_first_and_juice_from_elsewhere_last() -> None:
    young, old = (
        Bottle(name, "", "comfrey", at(day), 90.0, stays=((at(day), Storage.COOL),))
        for name, day in (("young-1-a", 5), ("old-1-a", 0))
    )

    assert [name for name, _ in bottle_choices([young, old], MANNER)] == ["old-1-a", "young-1-a", "none"]


def test_a_round_fills_in_a_form_that_reads_back_the_same() -> None:
    rule = replace(a_round().rule, parts=333.0, water_ml=1234.5, first_on=date(2026, 5, 20))
    form = Form(round_fields(a_round(rule=rule), MANNER))

    assert ratio_in(form).water_parts == pytest.approx(333.0)
    assert measured_in(form, MANNER.measures).water_ml == pytest.approx(1234.5)
    assert (form.text("method"), form.text("place"), form.text("round")) == ("leaf spray", "beans", "beans-1")
    assert form.ok


@pytest.mark.parametrize("amount_ml", [5000.0, 1234.5, 3785.411784, 0.333, 999.49])
@pytest.mark.parametrize("measures", list(Measures))
def test_a_typed_volume_reads_back_as_the_same_amount(amount_ml: float, measures: Measures) -> None:
    text = typed_volume(amount_ml, replace(MANNER, measures=measures))

    assert volume_ml(text) == pytest.approx(amount_ml, rel=1e-6)
