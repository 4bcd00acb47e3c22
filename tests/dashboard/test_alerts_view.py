"""Alerts in words: open and past, what a person did about them, months, and the ways on which they go out."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from dashboard.views.alerts import Choice, alert_lines, answered, month_of, way_lines
from station.domain.alert import Alert, AlertKind
from station.domain.way import Way, WayState
from station.ports import Answer
from tests.dashboard.world import MANNER, at

NOW = at(7)


def an_alert(**changes: object) -> Alert:
    return replace(Alert("cold-1", AlertKind.COLD, at(6.5), at(6.5), value=15.0), **changes)  # type: ignore[arg-type]


def test_alerts_tell_what_was_done() -> None:
    acknowledged = an_alert(acknowledged_at=at(6.6))
    put_off = an_alert(id="cold-2", put_off_until_at=NOW + timedelta(hours=2))
    past = an_alert(id="cold-3", acknowledged_at=at(6.6), cleared_at=at(6.7))
    bright = Alert("bright-1", AlertKind.BRIGHT, at(6.5), at(6.5))

    lines = alert_lines((acknowledged, put_off, past, bright), {}, NOW, MANNER)

    assert [(line.id, line.done, line.asks) for line in lines] == [
        ("cold-1", "acknowledged Sun 10 May 21:24", False),
        ("cold-2", "put off until 09:00", True),
        ("cold-3", "acknowledged Sun 10 May 21:24", False),
    ]


def test_an_answer_shows_before_the_station_has_heard_of_it() -> None:
    alert = an_alert()

    lines = alert_lines(answered([alert], [Answer("cold-1", NOW), Answer("cold-9", NOW)]), {}, NOW, MANNER)

    assert [(line.done, line.asks) for line in lines] == [("acknowledged 07:00", False)]
    (later,) = answered([alert], [Answer("cold-1", NOW, NOW + timedelta(hours=2))])
    assert later.put_off_until_at == NOW + timedelta(hours=2)
    (past,) = answered([replace(alert, cleared_at=NOW)], [Answer("cold-1", NOW)])
    assert past.acknowledged_at is None


@pytest.mark.parametrize(
    ("choice", "until"),
    [
        (Choice.ACKNOWLEDGE, None),
        (Choice.SOON, "2026-05-11T08:00+00:00"),
        (Choice.LATER, "2026-05-11T12:00+00:00"),
        (Choice.MORNING, "2026-05-12T05:30+00:00"),  # 06:30 in Lisbon, where quiet hours end by default
    ],
)
def test_an_alert_is_put_off_for_some_hours_or_until_the_morning(choice: Choice, until: str | None) -> None:
    expected = None if until is None else datetime.fromisoformat(until)
    assert choice.until_at(NOW, MANNER) == expected


def test_the_past_goes_by_local_months() -> None:
    month = month_of("2026-03", NOW, replace(MANNER, zone=ZoneInfo("Europe/Berlin")))

    assert (month.name, month.earlier, month.later) == ("March 2026", "2026-02", "2026-04")
    assert month.since_at.astimezone(UTC) == datetime(2026, 2, 28, 23, 0, tzinfo=UTC)
    assert month.until_at.astimezone(UTC) == datetime(2026, 3, 31, 22, 0, tzinfo=UTC)  # summer time by then


@pytest.mark.parametrize("text", ["", "2030-01", "may", "2026-13", "0001-01", "<b>"])
def test_without_a_month_that_was_it_is_the_present_one(text: str) -> None:
    month = month_of(text, NOW, MANNER)

    assert (month.name, month.earlier, month.later) == ("May 2026", "2026-04", "")


def test_a_way_says_how_it_is_doing_and_what_waits() -> None:
    ways = (
        Way("broker", WayState.TROUBLE, "The broker refused the password.", "Check it.", at(6.9), waiting=3),
        Way("phone", WayState.WAITING, "Not used yet."),
        Way("radio", WayState.WORKING, "radio takes messages.", delivered_at=at(6.9), by_test=True),
        Way("tablet", WayState.OFF, "Not set up."),
    )

    lines = way_lines(ways, NOW)

    assert [line.facts for line in lines] == [
        "last delivered 2 hours ago; 3 waiting",
        "nothing delivered yet",
        "last delivered 2 hours ago (a test)",
    ]  # none of what is not set up
    assert (lines[0].state, lines[0].text, lines[0].remedy) == (
        "trouble",
        "The broker refused the password.",
        "Check it.",
    )
