"""A condition that comes and goes is told once, and what a person said about it outlasts a break."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sim.clocks import ManualClock
from sim.rig import RememberingPublisher
from station.alerts import AGAIN_WITHIN, Change, Happening, Step, stepped
from station.causes import Cause
from station.daemon import level_of
from station.domain.alert import Alert, AlertKind
from station.domain.readings import Miss, Sample
from station.domain.sentences import alert_sentence
from station.ports import Answer
from station.store.notebook import Notebook
from tests.builders import START, a_reading
from tests.daemon.test_alerts import NOON, QUIET, happenings
from tests.daemon.world import Script, Stand, a_stand

AFTERNOON = datetime(2026, 5, 4, 14, 0, tzinfo=UTC)
SUN = ((0, 20), (113, 130), (150, 185), (231, 290))
"""Minutes of sun of a cloudy afternoon, as the model's window sill had it: from 14:00, 15:53, 16:30 and 17:51 on."""


def cloudy(clock: ManualClock) -> Script:
    def sample(boot_s: float) -> Sample | Miss:
        minute = (clock.now() - AFTERNOON).total_seconds() / 60.0
        sunny = any(first <= minute < last for first, last in SUN)
        return Sample("shelf", 20.0 + 0.1 * (int(boot_s / 10) % 2), 55.0, 20_000.0 if sunny else 300.0)

    return sample


def a_cloudy_stand(folder: Path, clock: ManualClock | None = None) -> Stand:
    clock = clock or ManualClock(AFTERNOON)
    return a_stand(folder, cloudy(clock), clock=clock)


def of_sun(*stands: Stand) -> list[Change]:
    changes = [change for stand in stands for judged in stand.judged for change in judged.changes]
    return [change for change in changes if change.alert.kind is AlertKind.SUN]


def told(*stands: Stand) -> list[str]:
    return [f"{change.at:%H:%M}" for change in of_sun(*stands) if change.notify]


def answered(stand: Stand, until_at: datetime | None = None) -> None:
    [alert] = [one for one in stand.station.memory.alerts if one.kind is AlertKind.SUN]
    with Notebook.open(stand.folder / "notebook.db") as grower:
        grower.answer(Answer(alert.id, stand.clock.now(), until_at))


def test_an_event_tells_a_program_whether_people_are_told_of_it(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    clock = ManualClock(AFTERNOON)
    stand = a_stand(tmp_path, cloudy(clock), clock=clock, publisher=broker).live(300)
    stand.end()
    events = {one.id: json.loads(one.payload) for one in broker.messages if one.topic == "events"}.values()
    raised = [event for event in events if event["kind"] == "sun" and event["happening"] == "raised"]
    assert [event["notify"] for event in raised][:2] == [True, False], "the second came again within three hours"
    assert [f"{datetime.fromisoformat(one['at']):%H:%M}" for one in events if one["notify"]] == told(stand)
    assert not any(event["notify"] for event in events if event["happening"] == "cleared")


def test_of_a_cloudy_afternoon_that_was_acknowledged_a_person_hears_once(tmp_path: Path) -> None:
    stand = a_cloudy_stand(tmp_path).live(10)
    answered(stand)
    stand.live(290).end()

    raised = [change.alert for change in of_sun(stand) if change.happening is Happening.RAISED]
    assert len(raised) == 4  # all are told to programs
    assert told(stand) == ["14:05"]
    assert [alert.acknowledged_at for alert in raised] == [None, *[AFTERNOON + timedelta(minutes=10)] * 3]
    assert level_of((raised[0],)) == "act"
    assert level_of(tuple(raised[1:])) == "watch"  # known of: it does not blink as new


def test_so_it_is_when_the_station_is_started_again_while_a_cloud_is_there(tmp_path: Path) -> None:
    stand = a_cloudy_stand(tmp_path).live(10)
    answered(stand)
    stand.live(50).end()
    again = a_cloudy_stand(tmp_path, stand.clock).live(240)
    again.end()

    assert told(stand, again) == ["14:05"]
    assert len([change for change in of_sun(again) if change.happening is Happening.RAISED]) == 3


def test_unanswered_it_is_told_no_more_than_once_in_three_hours(tmp_path: Path) -> None:
    """Raised at 14:05, 15:58, 16:35 and 17:56: the third still holds when three hours are over."""
    stand = a_cloudy_stand(tmp_path).live(300)
    stand.end()

    assert [f"{one.at:%H:%M}" for one in of_sun(stand) if one.happening is Happening.RAISED] == [
        "14:05",
        "15:58",
        "16:35",
        "17:56",
    ]
    assert told(stand) == ["14:05", "17:05"]


def test_what_was_put_off_comes_when_that_ends_if_the_sun_is_there_again(tmp_path: Path) -> None:
    stand = a_cloudy_stand(tmp_path).live(10)
    answered(stand, AFTERNOON + timedelta(hours=2))
    stand.live(290).end()

    assert told(stand)[:2] == ["14:05", "16:00"]


def minute(step: Step, at: datetime, *causes: Cause, trusted: bool = True) -> Step:
    reading = replace(a_reading(), measured_at=at, boot_s=(at - START).total_seconds(), trusted=trusted)
    return stepped(step.open_alerts, list(causes), (), reading, QUIET, step.cleared)


def a_cause(at: datetime, kind: AlertKind = AlertKind.SUN, jar_id: str = "") -> Cause:
    return Cause(kind, jar_id, at, 20_000.0, 20_000.0)


def cleared_after(change: timedelta, **values: object) -> tuple[Step, Alert]:
    """An alert that was raised at noon and cleared so much later, with something done about it."""
    step = minute(Step((), ()), NOON, a_cause(NOON))
    [alert] = step.open_alerts
    step = replace(step, open_alerts=(replace(alert, **values),))  # type: ignore[arg-type]
    return minute(step, NOON + change), alert


def test_the_memory_ends_three_hours_after_the_clearing() -> None:
    step, _ = cleared_after(timedelta(hours=1), acknowledged_at=NOON)
    ends_at = NOON + timedelta(hours=1) + AGAIN_WITHIN

    before = minute(step, ends_at - timedelta(minutes=1), a_cause(ends_at))
    after = minute(step, ends_at, a_cause(ends_at))
    assert (before.open_alerts[0].acknowledged_at, happenings(before)) == (NOON, [(Happening.RAISED, False)])
    assert (after.open_alerts[0].acknowledged_at, happenings(after)) == (None, [(Happening.RAISED, True)])


def test_another_condition_and_a_jar_begin_anew() -> None:
    step, _ = cleared_after(timedelta(minutes=5), acknowledged_at=NOON)
    at = NOON + timedelta(minutes=10)

    assert happenings(minute(step, at, a_cause(at, AlertKind.HOT))) == [(Happening.RAISED, True)]
    assert happenings(minute(step, at, a_cause(at, AlertKind.COVER, "comfrey-1"))) == [(Happening.RAISED, True)]


def test_a_clock_that_is_not_right_yet_says_nothing_about_how_long_ago_that_was() -> None:
    step, _ = cleared_after(timedelta(minutes=5), acknowledged_at=NOON)
    at = NOON + timedelta(minutes=10)

    assert happenings(minute(step, at, a_cause(at), trusted=False)) == [(Happening.RAISED, True)]


def test_what_was_told_by_a_clock_that_was_set_back_since_is_told_again() -> None:
    step, _ = cleared_after(timedelta(minutes=5), notified_at=NOON + timedelta(hours=1))
    at = NOON + timedelta(minutes=10)

    assert happenings(minute(step, at, a_cause(at))) == [(Happening.RAISED, True)]


@pytest.mark.parametrize(("hours", "notified"), [(2.0, False), (2.5, True)])
def test_a_put_off_that_is_over_notifies(hours: float, notified: bool) -> None:
    step, _ = cleared_after(timedelta(hours=1), put_off_until_at=NOON + timedelta(hours=2, minutes=10))
    at = NOON + timedelta(hours=hours)

    assert happenings(minute(step, at, a_cause(at))) == [(Happening.RAISED, notified)]


def test_an_alert_that_goes_on_says_again() -> None:
    step, first = cleared_after(timedelta(minutes=30), acknowledged_at=NOON + timedelta(minutes=2))
    at = NOON + timedelta(hours=1)
    [second] = minute(step, at, a_cause(at)).open_alerts

    assert alert_sentence(second, UTC, "C").startswith("The shelf is in direct sun again: 20,000 lx since 13:00.")
    assert "again" not in alert_sentence(first, UTC, "C")
    assert not step.cleared[0].again
