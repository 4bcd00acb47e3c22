"""Feedings, times of day, soaks and rounds."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.feeding import (
    Fed,
    Method,
    SoakState,
    TakenOut,
    check_fed,
    check_taken_out,
    fed_from,
    soak_from,
    time_advice,
)
from station.domain.rounds import (
    Round,
    RoundSet,
    Skipped,
    Standing,
    Stopped,
    check_round_entry,
    due,
    due_text,
    round_from,
)
from station.domain.sun import Place, sun_day
from station.errors import NotebookError
from tests.builders import START

LISBON = ZoneInfo("Europe/Lisbon")
TODAY = START.date()


def day(days):
    return START + timedelta(days=days)


def fed(days=0.0, round_id="beans", **changes):
    how = {"juice_ml": 4.0, "water_ml": 2000.0} | changes
    return Fed("fed-1", day(days), Method.LEAF_SPRAY, round_id=round_id, **how)


def a_round(*entries, feedings=()):
    return round_from((RoundSet("beans", START, Method.LEAF_SPRAY, "beans"), *entries), feedings)


def local(hour, minute=0):
    return datetime(2026, 5, 4, hour, minute, tzinfo=LISBON)


@pytest.mark.parametrize(
    ("hour", "good", "says"), [(7, True, "morning"), (13, False, "scorch"), (19, False, "mildew"), (2, False, "mildew")]
)
def test_leaves_are_sprayed_in_the_morning_and_not_at_dusk(hour, good, says):
    # Common practice: leaf spray in the morning, not at dusk.
    sun = sun_day(Place(38.7, -9.1), date(2026, 5, 4), LISBON)
    for known in (sun, None):
        advice = time_advice(Method.LEAF_SPRAY, local(hour), LISBON, known)
        assert advice.good is good
        assert says in advice.text


def test_soil_is_watered_out_of_the_midday_heat():
    assert time_advice(Method.DRENCH, local(8), LISBON).good
    assert time_advice(Method.DRENCH, local(20), LISBON).good
    assert not time_advice(Method.BOTTOM, local(13), LISBON).good


@pytest.mark.parametrize("method", [Method.SEED_SOAK, Method.COMPOST])
def test_a_soak_may_be_started_at_any_time(method):
    assert time_advice(method, local(13), LISBON).good


def test_a_day_without_sunrise_still_has_a_morning():
    sun = sun_day(Place(78.2, 15.6), date(2026, 6, 21), UTC)
    assert sun.rise_at is None
    assert time_advice(Method.LEAF_SPRAY, datetime(2026, 6, 21, 7, tzinfo=UTC), UTC, sun).good


def test_seeds_soak_from_20_minutes():
    # Common practice: seed soak from 20 minutes.
    soak = soak_from(START)
    assert soak.ready_at == START + timedelta(minutes=20)
    assert soak.state(START + timedelta(minutes=19)) is SoakState.EARLY
    assert soak.state(START + timedelta(minutes=20)) is SoakState.READY
    assert soak.state(START + timedelta(hours=13)) is SoakState.OVER


@pytest.mark.parametrize(("least", "most"), [(0, 20), (-5, 20), (30, 20)])
def test_a_soak_that_cannot_be_is_refused(least, most):
    with pytest.raises(NotebookError):
        soak_from(START, timedelta(minutes=least), timedelta(minutes=most))


@pytest.mark.parametrize(
    "changes", [{"juice_ml": 0.0}, {"juice_ml": -4.0}, {"water_ml": -1.0}, {"juice_ml": float("nan")}]
)
def test_a_feeding_without_juice_is_none(changes):
    with pytest.raises(NotebookError, match="above 0"):
        check_fed(fed(**changes))


def test_a_feeding_knows_its_ratio_and_a_soak_ends_after_its_begin():
    assert check_fed(fed()).ratio == 500.0
    with pytest.raises(NotebookError, match="soak"):
        check_fed(fed(until_at=START - timedelta(minutes=1)))


def test_a_round_is_due_from_the_day_it_was_set():
    assert due(a_round(), TODAY, LISBON).standing is Standing.DUE
    later = round_from([RoundSet("beans", START, Method.DRENCH, first_on=TODAY + timedelta(days=5))])
    assert due(later, TODAY, LISBON).standing is Standing.WAITING


@pytest.mark.parametrize(
    ("days", "standing"),
    [(1, Standing.WAITING), (6, Standing.WAITING), (7, Standing.DUE), (10, Standing.DUE), (11, Standing.LATE)],
)
def test_leaf_spray_comes_again_after_7_to_10_days(days, standing):
    # Common practice: every 7 to 10 days.
    found = a_round(feedings=[fed()])
    assert due(found, TODAY + timedelta(days=days), LISBON).standing is standing


def test_a_skipped_feeding_moves_the_next_one():
    found = a_round(Skipped("beans", day(8), "rain"), feedings=[fed()])
    assert due(found, TODAY + timedelta(days=10), LISBON).from_on == TODAY + timedelta(days=15)


def test_feedings_of_other_rounds_do_not_count():
    assert a_round(feedings=[fed(round_id="tomatoes")]).last_at is None


def test_a_stopped_round_rests_until_it_is_set_again():
    stopped = (Stopped("beans", day(1)),)
    assert due(a_round(*stopped), TODAY, LISBON).standing is Standing.STOPPED
    again = RoundSet("beans", day(2), Method.LEAF_SPRAY, "beans", least_days=3, most_days=4)
    found = a_round(*stopped, again)
    assert found.stopped_at is None
    assert found.rule == again


def spray(set_on, first_on=None, **changes):
    first = None if first_on is None else TODAY + timedelta(days=first_on)
    return RoundSet("beans", day(set_on), Method.LEAF_SPRAY, "beans", first_on=first, **changes)


@pytest.mark.parametrize(
    ("again", "from_on"),
    [
        (spray(8, first_on=20), 20),  # put off for a holiday
        (spray(8, first_on=9), 9),  # or brought forward
        (spray(8, note="use the fine rose"), 11),  # nothing was said of a day: it follows the last feeding
        (spray(3, first_on=20), 11),  # said before the last feeding, which then was the first
    ],
)
def test_a_first_day_that_is_said_anew_counts_though_the_round_was_given_before(again, from_on):
    found = a_round(again, feedings=[fed(4)])
    assert due(found, TODAY, LISBON).from_on == TODAY + timedelta(days=from_on)


def test_what_was_given_before_the_round_was_written_down_counts():
    assert due(a_round(feedings=[fed(-1)]), TODAY, LISBON).from_on == TODAY + timedelta(days=6)


@pytest.mark.parametrize("first_on", [None, 2])
def test_a_round_set_again_next_spring_is_not_late_since_autumn(first_on):
    stopped, again = Stopped("beans", day(30)), spray(300, first_on=first_on)
    found = round_from((spray(0, first_on=first_on), stopped, again), [fed(4)])
    standing = due(found, TODAY + timedelta(days=300), LISBON)
    assert (standing.standing, standing.from_on) == (Standing.DUE, TODAY + timedelta(days=300))


@pytest.mark.parametrize(("least", "most"), [(0, 7), (10, 7), (1, 1000), (-1, 3)])
def test_days_that_cannot_be_are_refused(least, most):
    rule = RoundSet("beans", START, Method.DRENCH, least_days=least, most_days=most)
    with pytest.raises(NotebookError, match="days"):
        check_round_entry(None, rule)


def test_what_is_not_running_can_be_neither_skipped_nor_stopped():
    for found in (None, a_round(Stopped("beans", day(1)))):
        with pytest.raises(NotebookError, match="not running"):
            check_round_entry(found, Skipped("beans", day(2)))
    check_round_entry(a_round(), Stopped("beans", day(1)))


def test_a_round_never_set_up_is_refused():
    with pytest.raises(NotebookError, match="never set up"):
        round_from([Skipped("beans", START)])


@pytest.mark.parametrize(("days", "says"), [(0, "next 11 May to 14 May, in the morning"), (8, "due now"), (30, "late")])
def test_what_is_due_is_said(days, says):
    found = a_round(feedings=[fed()])
    assert says in due_text(due(found, TODAY + timedelta(days=days), LISBON), found)


def test_a_round_due_on_one_day_names_that_day_once():
    found = a_round(RoundSet("beans", day(0), Method.LEAF_SPRAY, "beans", least_days=8, most_days=8), feedings=[fed()])
    assert "next 12 May, in the morning" in due_text(due(found, TODAY, LISBON), found)


@given(st.integers(1, 30), st.integers(0, 30), st.integers(0, 60))
def test_a_round_is_waiting_then_due_then_late(least, more, days):
    found = Round("beans", RoundSet("beans", START, Method.DRENCH, least_days=least, most_days=least + more), (START,))
    standing = due(found, TODAY + timedelta(days=days), LISBON).standing
    expected = Standing.WAITING if days < least else Standing.DUE if days <= least + more else Standing.LATE
    assert standing is expected


def test_a_soak_ends_when_the_seeds_are_taken_out_whatever_the_order_of_the_lines() -> None:
    soak = Fed("feed-1", START, Method.SEED_SOAK, 0.2, 100.0)
    out = TakenOut("feed-1", START + timedelta(minutes=30))

    check_taken_out(soak, out)
    assert fed_from((soak,)).until_at is None
    assert fed_from((soak, out)) == fed_from((out, soak)) == replace(soak, until_at=out.at)


@pytest.mark.parametrize(
    ("fed", "at"),
    [
        (Fed("feed-1", START, Method.DRENCH, 20.0, 10_000.0), START),
        (Fed("feed-1", START, Method.SEED_SOAK, 0.2, 100.0), START - timedelta(minutes=1)),
        (Fed("feed-1", START, Method.SEED_SOAK, 0.2, 100.0, until_at=START), START + timedelta(minutes=1)),
    ],
)
def test_what_does_not_soak_is_not_taken_out(fed: Fed, at: datetime) -> None:
    with pytest.raises(NotebookError):
        check_taken_out(fed, TakenOut("feed-1", at))


def test_a_feeding_is_given_exactly_once() -> None:
    soak = Fed("feed-1", START, Method.SEED_SOAK, 0.2, 100.0)

    for entries in ((soak, soak), (TakenOut("feed-1", START),)):
        with pytest.raises(NotebookError):
            fed_from(entries)
