"""What a replay says: what was foreseen then, and what is known in hindsight."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind
from station.domain.hindsight import alerts_apart, evening_foreseen, hours_apart, played_sentence
from tests.builders import START
from tests.dashboard.world import an_outlook

FIRST = datetime(2026, 5, 12, 19, 0, tzinfo=UTC)


def an_alert(kind: AlertKind = AlertKind.STRAIN, **changes: object) -> Alert:
    return replace(Alert("one", kind, FIRST - timedelta(days=1), START, "borage-1"), **changes)  # type: ignore[arg-type]


def test_an_evening_that_moved_on_is_told_as_it_was_foreseen_and_as_it_became() -> None:
    alert = an_alert(value=(FIRST + timedelta(days=1)).timestamp())

    assert played_sentence(alert, FIRST, UTC, "C", "borage") == (
        "Strain the jar of borage on Tue 12 May 19:00 and let it drip overnight, without squeezing. "
        "So it was foreseen then; left standing, it moved on to Wed 13 May 19:00."
    )


def test_an_evening_that_stayed_is_told_once() -> None:
    said = played_sentence(an_alert(value=FIRST.timestamp()), FIRST, UTC, "C", "borage")

    assert said == "Strain the jar of borage on Tue 12 May 19:00 and let it drip overnight, without squeezing."


def test_an_evening_is_told_as_foreseen_once_it_came() -> None:
    later = FIRST + timedelta(days=1)

    assert evening_foreseen(an_outlook(evening_at=later), FIRST, UTC) == (
        "Tue 12 May 19:00 as foreseen then; left standing, Wed 13 May 19:00"
    )
    assert evening_foreseen(an_outlook(evening_at=FIRST), FIRST, UTC) == "Tue 12 May 19:00 as foreseen then"
    assert evening_foreseen(an_outlook(evening_at=later), None, UTC) == "Wed 13 May 19:00"
    assert evening_foreseen(an_outlook(evening_at=None), None, UTC) == ""


def test_alerts_that_came_and_went_are_told_though_there_are_as_many() -> None:
    sun, cold, strain = (an_alert(kind) for kind in (AlertKind.SUN, AlertKind.COLD, AlertKind.STRAIN))

    assert alerts_apart([sun, sun, strain], [sun, sun, cold]) == "1 more: too cold; 1 fewer: due for straining"
    assert alerts_apart([sun, cold], [cold, sun]) == ""


def test_hours_are_told_apart_from_half_an_hour_on() -> None:
    before, after = {Kind.SUN: 3.0, Kind.BRIGHT: 80.0}, {Kind.SUN: 3.4, Kind.COLD: 157.4, Kind.BRIGHT: 78.0}

    assert list(hours_apart(before, after)) == ["cold for 157 h instead of 0 h", "bright for 78 h instead of 80 h"]
    assert list(hours_apart({Kind.HOT: 0.03}, {Kind.HOT: 9.97})) == ["hot for 10 h instead of 0 h"]
