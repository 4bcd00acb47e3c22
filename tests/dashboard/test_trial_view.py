"""Trials: what the list and a trial's page say, against figures from elsewhere."""

from dataclasses import replace

import pytest

from dashboard.views.trials import dish_fields, germination_chart, trial_lines, trial_view
from station.domain.germination import trial_result
from station.domain.trials import Arm, Counted, Trial
from tests.dashboard.world import MANNER, at


def a_trial(**changes: object) -> Trial:
    arms = (Arm("soaked", (10, 10)), Arm("plain", (20,)))
    return replace(Trial("beans-1", at(0), "beans", arms, "plain"), **changes)  # type: ignore[arg-type]


def counted(day: float, *counts: tuple[str, int, int]) -> tuple[Counted, ...]:
    return tuple(Counted("beans-1", at(day), arm, germinated, dish) for arm, dish, germinated in counts)


FIRST = counted(3, ("soaked", 1, 4), ("plain", 1, 5))
SECOND = counted(5, ("soaked", 1, 9), ("soaked", 2, 9), ("plain", 1, 13))


def test_the_list_shows_what_is_still_counted_first() -> None:
    ended = a_trial(id="old-1", ended_at=at(9))
    lines = trial_lines([a_trial(), a_trial(id="new-1", counts=FIRST), ended], MANNER)

    assert [line.id for line in lines] == ["new-1", "beans-1", "old-1"]
    assert [line.state for line in lines] == ["counting goes on", "not counted yet", "ended"]
    assert lines[0].arms == "soaked 4 of 20, plain 5 of 20"


def test_before_the_first_count_there_is_nothing_to_draw() -> None:
    view = trial_view(a_trial(), MANNER)

    assert view.verdict == ("Nothing has been counted yet.",)
    assert (view.chart, view.arms, view.counts.rows) == (None, (), ())
    assert dict(view.facts)["soaked"] == "20 seeds: 10 + 10"
    assert dict(view.facts)["plain"] == "20 seeds in one dish"


def test_ranges_are_those_of_wilson_and_newcombe() -> None:
    """18 of 20: 69.9 to 97.2 %; 13 of 20: 43.3 to 81.9 % (Wilson 1927, worked by hand from z = 1.96).

    Newcombe 1998, method 10, by hand from those four ends: 25 − hypot(20.1, 16.9) = −1.3 and
    25 + hypot(7.2, 21.7) = +47.9 points.
    """
    arms, gaps = trial_view(a_trial(counts=FIRST + SECOND), MANNER).arms

    assert [row[:3] for row in arms.rows] == [
        ("soaked", "18 of 20, 90 %", "70 % to 97 %"),
        ("plain", "13 of 20, 65 %", "43 % to 82 %"),
    ]
    assert gaps.rows[0][:3] == ("soaked less plain", "+25", "−1 to +48")


def test_curves_join_the_counts_and_a_dish_counted_late_counts_from_then() -> None:
    trial = a_trial(counts=FIRST + SECOND)

    soaked, plain = germination_chart(trial, trial_result(trial)).curves
    assert soaked.points == ((0.0, 0.0), (3.0, pytest.approx(20.0)), (5.0, pytest.approx(90.0)))
    assert plain.points[-1] == (5.0, pytest.approx(65.0))


def test_every_count_is_in_the_table_the_latest_first() -> None:
    table = trial_view(a_trial(counts=FIRST + SECOND), MANNER).counts

    assert table.headings == ("Counted", "soaked 1, of 10", "soaked 2, of 10", "plain 1, of 20")
    assert table.rows == (
        ("Sat 9 May, day 5.0", "9", "9", "13"),
        ("Thu 7 May, day 3.0", "4", "–", "5"),
    )


def test_a_field_for_each_dish_shows_the_last_count() -> None:
    fields = dish_fields(a_trial(counts=FIRST))

    assert [(one.name, one.label, one.hint) for one in fields] == [
        ("count-0-1", "soaked, dish 1", "4 last time, of 10"),
        ("count-0-2", "soaked, dish 2", "not counted yet, of 10"),
        ("count-1-1", "plain", "5 last time, of 20"),
    ]


def test_an_ended_trial_is_not_counted_any_more() -> None:
    view = trial_view(a_trial(counts=FIRST, ended_at=at(8), end_note="mice"), MANNER)

    assert not view.line.open
    assert dict(view.facts)["At the end"] == "mice"
