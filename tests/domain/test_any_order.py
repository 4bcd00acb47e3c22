"""The notebook tells the same in whatever order its entries were written down."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.bottling import Drawn, Emptied, Filled, LidClosed, Moved, PutBack, bottle_from
from station.domain.feeding import Fed, Method
from station.domain.jar_checks import check_entry
from station.domain.jars import (
    Bottled,
    Corrected,
    Discarded,
    Judged,
    Judgement,
    Noted,
    NoteTakenBack,
    Packed,
    Stage,
    Strained,
    jar_from,
    stage,
)
from station.domain.observations import Seen, Surface
from station.domain.packing import Cover
from station.domain.rounds import RoundSet, Skipped, Stopped, round_from
from station.domain.storage import Storage
from station.domain.trials import Arm, Counted, CountTakenBack, Ended, Sown, trial_from
from station.errors import NotebookError
from tests.builders import START

# Few different moments, so that entries often share one.
moments = st.integers(0, 4).map(lambda days: START + timedelta(days=days))
JAR, BOTTLE, ROUND, TRIAL = "comfrey-1", "comfrey-1-a", "beans", "beans-1"

jar_entries = st.one_of(
    st.builds(
        Noted,
        st.just(JAR),
        moments,
        st.sampled_from(["", "bubbles"]),
        st.builds(Seen, surface=st.sampled_from(Surface)),
        cover=st.sampled_from([None, *Cover]),
    ),
    st.builds(
        Corrected,
        st.just(JAR),
        moments,
        st.sampled_from([None, "nettle", "borage"]),
        st.sampled_from([None, 2000.0]),
        st.sampled_from([None, 250.0, 130.0]),
    ),
    st.builds(NoteTakenBack, st.just(JAR), moments, moments),
    st.builds(Strained, st.just(JAR), moments),
    st.builds(Judged, st.just(JAR), moments, st.sampled_from([None, *Judgement])),
    st.builds(Bottled, st.just(JAR), moments, st.sampled_from([100.0, 150.0])),
    st.builds(Discarded, st.just(JAR), moments, st.sampled_from(["", "mould"])),
)
bottle_entries = st.one_of(
    # whole amounts: sums of them do not depend on their order
    st.builds(
        Drawn, st.just(BOTTLE), moments, st.integers(1, 90).map(float), st.sampled_from(["", "feed-1", "feed-2"])
    ),
    st.builds(PutBack, st.just(BOTTLE), moments, st.sampled_from(["feed-1", "feed-2"])),
    st.builds(Moved, st.just(BOTTLE), moments, st.sampled_from(Storage)),
    st.builds(LidClosed, st.just(BOTTLE), moments),
    st.builds(Emptied, st.just(BOTTLE), moments, st.sampled_from(["", "spilt"])),
)
round_entries = st.one_of(
    st.builds(RoundSet, st.just(ROUND), moments, st.sampled_from(Method), least_days=st.integers(1, 7)),
    st.builds(Skipped, st.just(ROUND), moments),
    st.builds(Stopped, st.just(ROUND), moments),
)
feedings = st.builds(
    Fed, st.just("fed-1"), moments, st.sampled_from(Method), st.just(2.0), st.just(1000.0), round_id=st.just(ROUND)
)
trial_entries = st.one_of(
    st.builds(Counted, st.just(TRIAL), moments, st.sampled_from(["soaked", "plain"]), st.integers(0, 20)),
    st.builds(CountTakenBack, st.just(TRIAL), moments, moments),
    st.builds(Ended, st.just(TRIAL), moments),
)

PACKED = Packed(JAR, START, "comfrey", 1000.0, 125.0, 125.0)
FILLED = Filled(BOTTLE, START, JAR, "comfrey", 200.0)
SET = RoundSet(ROUND, START, Method.LEAF_SPRAY)
SOWN = Sown(TRIAL, START, "beans", (Arm("soaked", (20,)), Arm("plain", (20,))), "plain")


def lists_with(first, entries):
    """A list of entries, and the same shuffled."""
    return (
        st.lists(entries, max_size=8)
        .map(lambda rest: [first, *rest])
        .flatmap(lambda told: st.tuples(st.just(told), st.permutations(told)))
    )


@given(lists_with(PACKED, jar_entries))
def test_a_jar_is_the_same_in_any_order(told):
    assert jar_from(told[0]) == jar_from(told[1])


@given(lists_with(FILLED, bottle_entries))
def test_a_bottle_is_the_same_in_any_order(told):
    assert bottle_from(told[0]) == bottle_from(told[1])


@given(
    lists_with(SET, round_entries),
    st.lists(feedings, max_size=4).flatmap(lambda fed: st.tuples(st.just(fed), st.permutations(fed))),
)
def test_a_round_is_the_same_in_any_order(told, fed):
    assert round_from(told[0], fed[0]) == round_from(told[1], fed[1])


@given(lists_with(SOWN, trial_entries))
def test_a_trial_is_the_same_in_any_order(told):
    assert trial_from(told[0]) == trial_from(told[1])


@pytest.mark.parametrize(
    ("tell", "first", "other"),
    [
        (jar_from, PACKED, Strained(JAR, START)),
        (bottle_from, FILLED, LidClosed(BOTTLE, START)),
        (trial_from, SOWN, Ended(TRIAL, START)),
    ],
)
def test_a_story_has_one_beginning(tell, first, other):
    with pytest.raises(NotebookError, match="never"):
        tell([other])
    with pytest.raises(NotebookError, match="twice"):
        tell([first, other, first])


_ALLOWED = {
    Stage.WORKING: {Stage.WORKING, Stage.DRAINING, Stage.DISCARDED},
    Stage.DRAINING: {Stage.DRAINING, Stage.BOTTLED, Stage.DISCARDED},
    Stage.BOTTLED: {Stage.BOTTLED},
    Stage.DISCARDED: {Stage.DISCARDED},
}


@given(st.lists(jar_entries, max_size=12))
def test_stages_only_move_along_allowed_ways(entries):
    told = [PACKED]
    for entry in entries:
        before = jar_from(told)
        try:
            check_entry(before, entry)
        except NotebookError:
            continue
        told.append(entry)
        assert stage(jar_from(told), 0.0, 0.0) in _ALLOWED[stage(before, 0.0, 0.0)]


@given(st.lists(jar_entries, max_size=12))
def test_what_is_let_in_is_in_order_of_time(entries):
    told = [PACKED]
    for entry in entries:
        try:
            check_entry(jar_from(told), entry)
        except NotebookError:
            continue
        told.append(entry)
    jar = jar_from(told)
    if jar.bottled_at is not None:
        assert jar.packed_at <= jar.strained_at <= jar.bottled_at


@given(st.lists(jar_entries, max_size=8), moments)
def test_a_note_that_was_taken_back_leaves_no_trace(entries, note_at):
    without = [one for one in entries if not (isinstance(one, Noted) and one.at == note_at)]
    taken_back = NoteTakenBack(JAR, START + timedelta(days=9), note_at)
    assert jar_from([PACKED, *entries, taken_back]) == jar_from([PACKED, *without])


@given(st.lists(trial_entries, max_size=8), moments)
def test_a_count_that_was_taken_back_leaves_no_trace(entries, counted_at):
    without = [one for one in entries if not (isinstance(one, Counted) and one.at == counted_at)]
    taken_back = CountTakenBack(TRIAL, START + timedelta(days=9), counted_at)
    assert trial_from([SOWN, *entries, taken_back]) == trial_from([SOWN, *without])


@given(st.lists(bottle_entries, max_size=8))
def test_what_was_drawn_for_a_feeding_that_was_taken_back_is_in_the_bottle_again(entries):
    without = [one for one in entries if not (isinstance(one, Drawn) and one.feeding_id == "feed-1")]
    put_back = PutBack(BOTTLE, START + timedelta(days=9), "feed-1")
    assert bottle_from([FILLED, *entries, put_back]) == bottle_from([FILLED, *without])
