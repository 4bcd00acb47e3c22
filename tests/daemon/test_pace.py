"""What a person is spared: floods, followers of a silent sensor, repeats after a restart; and the jars' own alerts."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from sim.rig import RememberingPublisher
from station.alerts import Happening, Step, stepped
from station.causes import Cause, care_causes
from station.daemon import level_of
from station.domain.alert import AlertKind
from station.domain.jars import Jar, Noted, Packed, jar_from
from station.domain.observations import Juice, Seen
from station.domain.packing import Cover, Packing
from station.domain.preparations import Preparation
from station.domain.readings import Miss
from station.pace import MOST, Pace, Paced, paced
from station.ports import Answer
from station.store.notebook import Notebook
from tests.builders import START, a_reading
from tests.daemon.test_alerts import NOON, QUIET, an_outlook
from tests.daemon.test_delivery import Targets, said, targets
from tests.daemon.world import Stand, a_stand, steady

NOTHING = Paced(Step((), ()), Pace())


def minute(before: Paced, at: datetime, *causes: Cause, answers: tuple[Answer, ...] = ()) -> Paced:
    reading = replace(a_reading(), measured_at=at, boot_s=(at - START).total_seconds())
    step = stepped(before.step.open_alerts, list(causes), answers, reading, QUIET)
    return paced(step, before.step.open_alerts, before.pace, reading.boot_s)


def jars_to_strain(count: int) -> list[Cause]:
    return [Cause(AlertKind.PAST_READY, f"mint-{number}", NOON) for number in range(count)]


def told(paced: Paced) -> int:
    """How many messages a person gets."""
    wanted = sum(change.notify for change in paced.step.changes)
    return min(wanted, 1) if paced.summary else wanted


def test_five_at_once_are_told_one_by_one_and_six_as_a_summary() -> None:
    assert (told(five := minute(NOTHING, NOON, *jars_to_strain(MOST))), five.summary) == (5, False)
    assert (told(six := minute(NOTHING, NOON, *jars_to_strain(MOST + 1))), six.summary) == (1, True)


def test_of_many_within_ten_minutes_the_sixth_is_a_summary_and_the_others_wait_until_the_time_is_over() -> None:
    at, step, messages = NOON, NOTHING, []
    for count in range(1, 10):
        step = minute(step, at, *jars_to_strain(count))
        messages.append(told(step))
        at += timedelta(minutes=1)
    assert messages == [1, 1, 1, 1, 1, 1, 0, 0, 0]
    waiting = [alert for alert in step.step.open_alerts if alert.notified_at is None]
    assert len(waiting) == 3
    later = [told(step := minute(step, at + timedelta(minutes=late), *jars_to_strain(9))) for late in range(12)]
    assert sum(later) == 3
    assert all(alert.notified_at for alert in step.step.open_alerts)


def test_however_alerts_come_a_person_gets_six_messages_in_ten_minutes_at_most() -> None:
    step, sent_at = NOTHING, []
    for number in range(120):
        at = NOON + timedelta(minutes=number)
        step = minute(step, at, *jars_to_strain(3 * (number % 40)))
        sent_at += [at] * told(step)
    assert sent_at
    for first in sent_at:
        assert sum(first <= at < first + timedelta(minutes=10) for at in sent_at) <= 6


def test_a_reminder_that_is_held_back_comes_later_and_is_not_said_to_have_happened() -> None:
    step = minute(NOTHING, NOON, *jars_to_strain(1))
    at = NOON + timedelta(hours=6)
    flood = replace(step, pace=Pace((), (at - START).total_seconds() - 60.0))
    held = minute(flood, at, *jars_to_strain(1))
    assert held.step.changes == ()
    assert held.step.open_alerts[0].notified_at == NOON
    later = minute(held, at + timedelta(minutes=10), *jars_to_strain(1))
    assert [change.happening for change in later.step.changes] == [Happening.REMINDED]


def test_while_nothing_is_measured_the_other_conditions_keep_still() -> None:
    hot, silent = Cause(AlertKind.HOT, "", NOON, 28.0, 28.0), Cause(AlertKind.SILENT, "", NOON)
    step = minute(NOTHING, NOON, hot)
    notified = []
    for hours in range(1, 14):
        step = minute(step, NOON + timedelta(hours=hours), hot, silent)
        notified += [change.alert.kind for change in step.step.changes if change.notify]
    assert set(notified) == {AlertKind.SILENT}
    step = minute(step, NOON + timedelta(hours=14), hot)
    assert [change.alert.kind for change in step.step.changes if change.notify] == [AlertKind.HOT]


def test_jars_are_called_for_even_while_nothing_is_measured() -> None:
    silent = Cause(AlertKind.SILENT, "", NOON)
    assert told(minute(NOTHING, NOON, silent, *jars_to_strain(1))) == 2


def a_jar(**changes: object) -> Jar:
    return replace(Jar("comfrey-1", "comfrey", START, 1000.0), **changes)  # type: ignore[arg-type]


def care(jar: Jar, hours: float) -> list[AlertKind]:
    return [cause.kind for cause in care_causes([jar], [an_outlook()], START + timedelta(hours=hours))]


def test_a_tight_lid_is_called_for_at_once_and_as_long_as_the_jar_stands() -> None:
    tight = a_jar(packing=Packing(cover=Cover.TIGHT_LID))
    assert care(tight, 0.1) == [AlertKind.COVER]
    assert AlertKind.COVER in care(tight, 90.0)
    assert care(replace(tight, strained_at=START + timedelta(hours=1)), 2.0) == []
    assert care(a_jar(packing=Packing(cover=Cover.LOOSE_LID)), 0.1) == []


def test_a_lid_closed_tightly_later_is_called_for_from_then_on() -> None:
    closed_at = START + timedelta(hours=8)
    jar = jar_from(
        [Packed("comfrey-1", START, "comfrey", 1000.0), Noted("comfrey-1", closed_at, "", cover=Cover.TIGHT_LID)]
    )
    (cause,) = care_causes([jar], [an_outlook()], START + timedelta(hours=9))
    assert (cause.kind, cause.since_at) == (AlertKind.COVER, closed_at)


def test_juice_is_asked_for_half_a_day_after_packing_and_a_note_ends_the_question() -> None:
    """At 20 °C sugar draws the first juice within hours (common practice)."""
    looked = Noted("comfrey-1", START + timedelta(hours=14), "", Seen(juice=Juice.NONE))
    assert care(a_jar(), 11.0) == []
    assert care(a_jar(), 15.0) == [AlertKind.NO_JUICE]
    assert care(a_jar(notes=(looked,)), 15.0) == []
    assert care(a_jar(packing=Packing(preparation=Preparation.VINEGAR)), 15.0) == []


def test_a_question_does_not_light_the_lamp_as_an_alert_does(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START - timedelta(hours=14), 1000.0, now_at=START)
    stand.live(3)
    assert [alert.kind for alert in stand.station.memory.alerts] == [AlertKind.NO_JUICE]
    assert level_of(stand.station.memory.alerts) == "watch"
    stand.end()


def test_two_jars_of_one_plant_are_told_apart(tmp_path: Path) -> None:
    people = Targets("phone")
    stand = a_stand(tmp_path, people=people, notify=targets("phone"), quiet=DAY)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        for plant in ("comfrey", "comfrey", "mint"):
            grower.pack(plant, START, 1000.0, now_at=START, packing=Packing(cover=Cover.TIGHT_LID))
    stand.live(2)
    assert sorted(text.split(" now:")[0] for text in people.texts("phone")) == [
        "Loosen the lid of the jar of comfrey (comfrey-1)",
        "Loosen the lid of the jar of comfrey (comfrey-2)",
        "Loosen the lid of the jar of mint",
    ]
    stand.end()


def test_a_question_is_asked_once() -> None:
    asked = Cause(AlertKind.NO_JUICE, "comfrey-1", NOON)
    step = minute(NOTHING, NOON, asked)
    assert told(step) == 1
    for hours in range(1, 30):
        step = minute(step, NOON + timedelta(hours=hours), asked)
        assert step.step.changes == ()


def test_a_strain_call_is_not_repeated_between_the_day_before_and_the_evening() -> None:
    step = minute(NOTHING, NOON, cause := Cause(AlertKind.STRAIN, "mint-1", NOON, 1.0))
    for hours in range(1, 20):
        step = minute(step, NOON + timedelta(hours=hours), cause)
        assert not any(change.notify for change in step.step.changes)


def a_told_stand(folder: Path, **more: object) -> tuple[Stand, Targets, RememberingPublisher]:
    people, broker = Targets("phone"), RememberingPublisher()
    stand = a_stand(folder, steady(12.0), people=people, publisher=broker, notify=targets("phone"), quiet=DAY, **more)  # type: ignore[arg-type]
    return stand, people, broker


DAY = {"from": "03:00:00", "until": "03:01:00"}


@pytest.mark.parametrize("answered", ["", "acknowledged", "put off"])
def test_a_restart_repeats_nothing(answered: str, tmp_path: Path) -> None:
    stand, people, broker = a_told_stand(tmp_path)
    stand.live(40)
    (alert,) = stand.station.memory.alerts
    if answered:
        until_at = stand.clock.now() + timedelta(hours=5) if answered == "put off" else None
        with Notebook.open(tmp_path / "notebook.db") as grower:
            grower.answer(Answer(alert.id, stand.clock.now(), until_at))
    stand.live(2).end()
    assert len(people.texts("phone")) == 1
    before = [one["happening"] for one in said(broker, "events")]
    assert before == ["raised", *([answered] if answered else [])]
    again, people, broker = a_told_stand(tmp_path, clock=stand.clock)
    again.live(240)
    assert people.texts("phone") == []
    assert said(broker, "events") == []
    assert again.station.memory.alerts[0].id == alert.id
    again.live(110)
    assert len(people.texts("phone")) == (
        0 if answered == "acknowledged" else 1
    )  # its reminder, or the end of the delay
    again.end()


def test_a_flood_is_one_message_and_every_change_is_an_event(tmp_path: Path) -> None:
    people, broker = Targets("phone"), RememberingPublisher()
    stand = a_stand(tmp_path, people=people, publisher=broker, notify=targets("phone"), quiet=DAY)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        for plant in ("mint", "yarrow", "borage", "clover", "comfrey", "nettle", "dandelion"):
            grower.pack(plant, START, 1000.0, now_at=START, packing=Packing(cover=Cover.TIGHT_LID))
    stand.live(3)
    (text,) = people.texts("phone")
    assert text.startswith("7 alerts at once: cover to be checked: ")
    assert "comfrey" in text
    assert len(said(broker, "events")) == 7
    stand.end()


def test_a_silent_sensor_and_its_recovery_are_one_notification(tmp_path: Path) -> None:
    stand, people, _ = a_told_stand(tmp_path)
    stand.live(35)
    stand.sensor.script = lambda _: Miss("shelf", "no answer")
    stand.live(60)
    stand.sensor.script = steady(12.0)
    stand.live(30)
    assert [text.split(":")[0].split(" since")[0] for text in people.texts("phone")] == ["Too cold", "Nothing measured"]
    stand.end()
