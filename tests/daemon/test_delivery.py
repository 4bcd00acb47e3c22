"""What leaves the station and what is kept of it, with publishers of the model world in the place of real ones."""

import json
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from pydantic import SecretStr

from sim.clocks import ClockFaults
from sim.rig import RememberingPublisher
from station import alerts, delivery, messages
from station.config import TargetSettings
from station.domain.alert import AlertKind
from station.domain.heartbeat import has_stopped
from station.domain.jars import Strained
from station.domain.readings import Miss, Sample
from station.domain.way import BROKER, Arrived, Way, WayState, ways_shown, while_stopped
from station.ports import Answer, Message, Minute
from station.store.notebook import Notebook
from station.store.shelf_reader import ShelfReader
from tests.builders import START
from tests.daemon.world import Script, Stand, a_stand, steady


class Targets(RememberingPublisher):
    """Ways to people's phones; those in `blocked` take nothing."""

    def __init__(self, *names: str) -> None:
        super().__init__()
        self.names = names
        self.blocked: set[str] = set()
        self.withdrawn: set[int] = set()

    def offer(self, message: Message) -> bool:
        return messages.target_of(message.topic) not in self.blocked and super().offer(message)

    def withdraw(self, numbers: Iterable[int]) -> None:
        self.withdrawn |= set(numbers)

    def ways(self) -> tuple[Way, ...]:
        return tuple(Way(name, WayState.WORKING, f"{name} takes messages.") for name in self.names)

    def texts(self, name: str) -> list[str]:
        kept = dict.fromkeys((one.id, one.payload.decode()) for one in self.messages if one.topic == f"notify/{name}")
        return [text for _, text in kept]


def targets(*names: str) -> tuple[TargetSettings, ...]:
    return tuple(TargetSettings(name=name, address=SecretStr("json://localhost")) for name in names)


def on_and_off(period_min: float = 8.0) -> Script:
    """A sensor that is silent for the second half of each period: with silent_min = 2, one alert a period."""

    def script(boot_s: float) -> Sample | Miss:
        half = (boot_s / 60.0) % period_min >= period_min / 2.0
        return Miss("shelf", "no answer") if half else steady()(boot_s)

    return script


QUICK: dict[str, Any] = {"limits": {"silent_min": 2}}


def said(publisher: RememberingPublisher, topic: str) -> list[dict[str, Any]]:
    """What was offered on a topic, repeats left out."""
    payloads = dict.fromkeys(one.payload for one in publisher.messages if one.topic == topic)
    return [json.loads(payload) if payload else {} for payload in payloads]


def changes_of(stand: Stand) -> list[tuple[str, str]]:
    found = [change for judged in stand.judged for change in judged.changes]
    return [(change.alert.id, str(change.happening)) for change in found]


def reader(stand: Stand) -> ShelfReader:
    return ShelfReader(stand.folder / "shelf.db")


def test_every_change_goes_out_once_and_leaves_the_outbox(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, on_and_off(), publisher=broker, **QUICK).live(60)
    events = said(broker, "events")
    assert [(one["alert"], one["happening"]) for one in events] == changes_of(stand)
    assert len(events) >= 12
    assert len([one for one in broker.messages if one.topic == "events"]) == len(events)
    assert stand.log.pending() == ()
    stand.end()


def test_status_and_reading_of_every_minute_are_offered_and_never_kept(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, publisher=broker).live(3)
    assert [one.topic for one in broker.messages if one.topic == "readings"] == ["readings"] * 3
    last = said(broker, "status")[-1]
    assert (last["state"], last["uptime_s"], last["clock_trusted"]) == ("online", 180, True)
    assert last["last_reading_at"] == "2026-05-04T06:03:00Z"
    assert {one.id for one in broker.messages} == {0}
    stand.end()


def test_what_could_not_be_offered_stays_in_order_and_goes_out_later(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    broker.reachable = False
    stand = a_stand(tmp_path, on_and_off(), publisher=broker, **QUICK).live(60)
    waiting = [json.loads(one.payload)["id"] for one in stand.log.pending()]
    assert len(waiting) == len(changes_of(stand))
    broker.reachable = True
    stand.sensor.script = steady()
    stand.live(12)
    assert [one["id"] for one in said(broker, "events")][: len(waiting)] == waiting
    assert stand.log.pending() == ()
    stand.end()


def test_an_alert_is_a_retained_topic_while_it_is_open_and_empty_afterwards(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, lambda _: Miss("shelf", "no answer"), publisher=broker, **QUICK).live(3)
    open_alert = [one for one in broker.messages if one.topic == "alerts/silent"][-1]
    assert open_alert.retain
    assert json.loads(open_alert.payload)["id"] == stand.station.memory.alerts[0].id
    stand.sensor.script = steady()
    stand.live(4)
    assert [one for one in broker.messages if one.topic == "alerts/silent"][-1].payload == b""
    stand.end()


def test_the_first_minute_after_a_start_puts_every_topic_right(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, steady(12.0))
    with Notebook.open(tmp_path / "notebook.db") as grower:
        jar = grower.pack("comfrey", START, 1000.0, now_at=START)
        stand.live(35)
        stand.end()
        grower.record(Strained(jar.id, stand.clock.now()), now_at=stand.clock.now())
    broker = RememberingPublisher()
    again = a_stand(tmp_path, steady(12.0), clock=stand.clock, publisher=broker).live(1)
    latest = {one.topic: one.payload for one in broker.messages if one.retain}
    assert json.loads(latest["alerts/cold"])["id"] == again.station.memory.alerts[0].id
    assert latest["alerts/hot"] == latest["alerts/sun"] == latest[f"alerts/strain/{jar.id}"] == b""
    assert json.loads(latest[f"jars/{jar.id}"])["stage"] == "draining"
    assert said(broker, "events") == []
    again.end()


def test_a_jar_s_topic_is_emptied_when_the_notebook_knows_it_no_longer(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, publisher=broker)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        jar = grower.pack("mint", START, 1000.0, now_at=START)
        stand.live(2)
        assert said(broker, f"jars/{jar.id}")[0]["plant"] == "mint"
        later_at = START + timedelta(days=3)
        grower.record(Strained(jar.id, START + timedelta(minutes=2)), now_at=START + timedelta(minutes=2))
        grower.pack("comfrey", later_at, 1000.0, now_at=later_at)
    stand.live(2)
    assert [one for one in broker.messages if one.topic == f"jars/{jar.id}"][-1].payload == b""
    stand.end()


def test_a_jar_that_left_while_the_station_was_off_for_long_loses_its_topic(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, publisher=broker)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        jar = grower.pack("mint", START, 1000.0, now_at=START)
        stand.live(2).end()
        later_at = START + timedelta(days=20)
        grower.record(Strained(jar.id, START + timedelta(days=6)), now_at=later_at)
    again = a_stand(tmp_path, start_at=later_at, publisher=broker).live(1)
    assert [one.payload for one in broker.messages if one.topic == f"jars/{jar.id}"][-1] == b""
    again.end()


def test_people_hear_of_what_notifies_and_of_nothing_else(tmp_path: Path) -> None:
    people = Targets("phone", "kitchen-screen")
    notify = targets("phone", "kitchen-screen")
    stand = a_stand(tmp_path, steady(11.95), start_at=START + timedelta(hours=2), people=people, notify=notify).live(40)
    assert people.texts("phone") == people.texts("kitchen-screen") == [
        "Too cold: 12.0 °C since 08:01. Move the jars somewhere warmer."
    ]  # fmt: skip
    stand.sensor.script = steady(20.0)
    assert len(people.texts("phone")) == 1
    assert stand.live(40).log.waiting() == {}
    stand.end()


def test_the_grower_s_degrees_are_in_the_sentence(tmp_path: Path) -> None:
    people = Targets("phone")
    units = {"temperature": "F"}
    stand = a_stand(tmp_path, steady(11.95), people=people, notify=targets("phone"), units=units, quiet=NEVER).live(31)
    assert people.texts("phone") == ["Too cold: 53.6 °F since 06:01. Move the jars somewhere warmer."]
    stand.end()


NEVER = {"from": "03:00:00", "until": "03:01:00"}


def test_what_is_told_later_says_of_when_its_number_is_and_on_which_day_it_began(tmp_path: Path) -> None:
    """Held back by the night, and then a reminder: neither 12.0 °C nor 23:01 is of the morning it is told on."""
    people, broker = Targets("phone"), RememberingPublisher()
    late_at, notify = datetime(2026, 5, 4, 23, 0, tzinfo=UTC), targets("phone")
    stand = a_stand(tmp_path, steady(11.95), start_at=late_at, people=people, publisher=broker, notify=notify)
    stand.live(14 * 60)
    first = "Too cold: 12.0 °C since 23:01. Move the jars somewhere warmer."
    later = "Too cold: 12.0 °C when it was raised, since Mon 4 May 23:01. Move the jars somewhere warmer."
    assert people.texts("phone") == [later, later]  # at 06:30 and at 12:30
    assert [one["text"] for one in said(broker, "events")] == [first, later, later]
    assert [one["notify"] for one in said(broker, "events")] == [False, True, True]
    assert [one["text"] for one in said(broker, "alerts/cold") if one] == [later]  # read whenever somebody looks
    stand.end()


def test_a_way_says_how_many_alerts_the_quiet_hours_hold_back_and_until_when(tmp_path: Path) -> None:
    people, broker = Targets("phone"), RememberingPublisher()
    late_at, notify = datetime(2026, 5, 4, 23, 0, tzinfo=UTC), targets("phone")
    stand = a_stand(tmp_path, steady(11.95), start_at=late_at, people=people, publisher=broker, notify=notify)

    def lines() -> list[str]:
        return [way.line for way in ShelfReader(tmp_path / "shelf.db").ways()]

    takes = "phone takes messages."
    stand.live(20)
    assert lines()[1] == takes
    stand.live(20)
    assert lines()[1] == f"{takes} 1 held until 06:30 (quiet hours)."
    assert "held" not in lines()[0], "the broker has it already"
    stand.notebook.answer(Answer(stand.station.memory.alerts[0].id, stand.clock.now()))
    stand.live(2)
    assert lines()[1] == takes, "who has acknowledged it knows of it"
    stand.end()


def test_in_the_morning_nothing_is_held_any_longer(tmp_path: Path) -> None:
    people, late_at = Targets("phone"), datetime(2026, 5, 4, 23, 0, tzinfo=UTC)
    stand = a_stand(tmp_path, steady(11.95), start_at=late_at, people=people, notify=targets("phone"))
    for minutes, held in ((7 * 60 + 28, True), (4, False)):
        stand.live(minutes)
        (way,) = ShelfReader(tmp_path / "shelf.db").ways()
        assert ("held" in way.line) is held
    stand.end()


@pytest.fixture
def each_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let an alert be told however shortly after the one before: these tests need many of them."""
    monkeypatch.setattr(alerts, "AGAIN_WITHIN", timedelta(0))


@pytest.mark.usefixtures("each_anew")
def test_one_blocked_way_holds_up_no_other(tmp_path: Path) -> None:
    broker, people = RememberingPublisher(), Targets("phone", "radio")
    broker.reachable = False
    people.blocked = {"phone"}
    stand = a_stand(
        tmp_path, on_and_off(20.0), publisher=broker, people=people, notify=targets("phone", "radio"), **QUICK
    ).live(60)
    assert len(people.texts("radio")) == 3
    assert people.texts("phone") == []
    assert stand.log.waiting() == {None: len(changes_of(stand)), "phone": 3}
    stand.end()


def test_rows_of_a_target_that_left_the_settings_go(tmp_path: Path) -> None:
    people = Targets("phone")
    people.blocked = {"phone"}
    stand = a_stand(tmp_path, on_and_off(20.0), people=people, notify=targets("phone"), **QUICK).live(20)
    assert stand.log.waiting() == {"phone": 1}
    stand.end()
    again = a_stand(tmp_path, clock=stand.clock, people=Targets("radio"), notify=targets("radio")).live(1)
    assert again.log.waiting() == {}
    again.end()


@pytest.mark.usefixtures("each_anew")
def test_a_long_outage_ends_in_a_summary_and_no_flood(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(delivery, "MOST_EVENTS", 20)
    monkeypatch.setattr(delivery, "MOST_NOTICES", 10)
    broker, people = RememberingPublisher(), Targets("phone")
    broker.reachable = False
    people.blocked = {"phone"}
    stand = a_stand(tmp_path, on_and_off(20.0), publisher=broker, people=people, notify=targets("phone"), **QUICK).live(
        20 * 30
    )
    waiting = stand.log.waiting()
    assert 5 <= waiting[None] <= 21
    assert 5 <= waiting["phone"] <= 11
    broker.reachable, people.blocked = True, set()
    stand.sensor.script = steady()
    happened = changes_of(stand.live(3))
    assert len(happened) == 60
    events = said(broker, "events")
    told = [one for one in events if one["happening"] != "summary"]
    left = sum(one["count"] for one in events if one["happening"] == "summary")
    assert [(one["alert"], one["happening"]) for one in told] == happened[-len(told) :]
    assert left == len(happened) - len(told)
    texts = people.texts("phone")
    assert any("could not be delivered and were left out" in text for text in texts)
    assert len(texts) <= 12
    assert people.withdrawn
    stand.end()


def test_ways_and_sign_of_life_are_kept_for_everybody_to_read(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, publisher=broker).live(25)
    beat = reader(stand).heartbeat()
    assert beat is not None
    assert beat.at == beat.last_reading_at == START + timedelta(minutes=25)
    assert beat.uptime_s == pytest.approx(25 * 60)
    assert beat.clock_trusted
    assert beat.free_bytes is not None
    assert beat.free_bytes > 0
    assert reader(stand).ways() == (Way(BROKER, WayState.WORKING, "A broker of the model world."),)
    stand.end()


def test_the_sign_of_life_goes_on_through_a_silent_sensor(tmp_path: Path) -> None:
    stand = a_stand(tmp_path).live(15)
    stand.sensor.script = lambda _: Miss("shelf", "no answer")
    beat = reader(stand.live(7)).heartbeat()
    assert beat is not None
    assert beat.at == START + timedelta(minutes=22)
    assert beat.last_reading_at == START + timedelta(minutes=15)
    stand.end()


def test_the_last_reading_is_known_to_a_station_that_was_started_with_a_silent_sensor(tmp_path: Path) -> None:
    a_stand(tmp_path).live(15).end()
    broker = RememberingPublisher()
    later_at = START + timedelta(hours=1)
    stand = a_stand(tmp_path, lambda _: Miss("shelf", "no answer"), start_at=later_at, publisher=broker).live(1)
    assert {one["last_reading_at"] for one in said(broker, "status")} == {"2026-05-04T06:15:00Z"}
    stand.end()


def test_the_uptime_is_right_after_the_clock_has_come_right(tmp_path: Path) -> None:
    faults = ClockFaults(begins_at=START - timedelta(days=20000), syncs=3600.0)
    stand = a_stand(tmp_path, faults=faults).live(65)
    beat = reader(stand).heartbeat()
    assert beat is not None
    assert beat.uptime_s == pytest.approx(65 * 60)
    assert beat.clock_trusted
    stand.end()


def test_what_waits_is_counted_in_the_minute_in_which_it_begins_to_wait(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    broker.reachable = False
    stand = a_stand(tmp_path, lambda _: Miss("shelf", "no answer"), publisher=broker, **QUICK).live(2)
    assert [way.waiting for way in reader(stand).ways()] == [1]
    broker.reachable = True
    stand.live(2)
    assert [way.waiting for way in reader(stand).ways()] == [0]
    stand.end()


def test_when_something_last_arrived_is_remembered_through_a_restart(tmp_path: Path) -> None:
    class Fresh(RememberingPublisher):
        delivered: Any = None

        def ways(self) -> tuple[Way, ...]:
            return (Way(BROKER, WayState.WORKING, "Fine.", "", self.delivered),)

    broker = Fresh()
    stand = a_stand(tmp_path, publisher=broker).live(1)
    broker.delivered = START
    stand.end()
    again = a_stand(tmp_path, clock=stand.clock, publisher=Fresh()).live(1)
    assert [way.delivered_at for way in reader(again).ways()] == [START]
    again.end()


def test_a_quiet_day_writes_ways_and_sign_of_life_six_times_an_hour(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, publisher=RememberingPublisher()).live(120)
    kept = [judged.minute for judged in stand.judged if judged.minute.ways or judged.minute.heartbeat]
    assert len(kept) == 12
    stand.end()


def test_what_will_never_be_taken_leaves_the_outbox(tmp_path: Path) -> None:
    class Choosy(RememberingPublisher):
        refused: tuple[int, ...] = ()

        def offer(self, message: Message) -> bool:
            if message.id:
                self.refused = tuple({*self.refused, message.id})
                return True
            return super().offer(message)

        def given_up(self) -> tuple[int, ...]:
            return self.refused

    stand = a_stand(tmp_path, on_and_off(), publisher=Choosy(), **QUICK).live(61)
    stand.sensor.script = steady()
    assert stand.live(8).log.pending() == ()
    quiet = [judged.minute for judged in stand.live(9).judged[-9:]]
    assert not any(minute.sent for minute in quiet)
    stand.end()


def test_what_arrived_by_the_end_is_not_sent_again_by_the_next_station(tmp_path: Path) -> None:
    broker = RememberingPublisher()
    stand = a_stand(tmp_path, lambda _: Miss("shelf", "no answer"), publisher=broker, **QUICK).live(2)
    assert len(stand.log.pending()) == 1
    stand.end()
    afterwards = RememberingPublisher()
    a_stand(tmp_path, clock=stand.clock, publisher=afterwards, **QUICK).live(1).end()
    assert said(afterwards, "events") == []


def test_a_commit_that_fails_sends_nothing(tmp_path: Path) -> None:
    from station.errors import StoreError
    from station.store.shelf_log import ShelfLog

    class Full(ShelfLog):
        def commit(self, minute: Minute) -> None:
            if minute.alerts:
                raise StoreError("the card is full", "Free some space.")
            super().commit(minute)

    broker = RememberingPublisher()
    log = Full.open(tmp_path / "shelf.db", durable=False)
    stand = a_stand(tmp_path, lambda _: Miss("shelf", "no answer"), log=log, publisher=broker, **QUICK)
    with pytest.raises(StoreError, match="full"):
        stand.live(2)
    assert said(broker, "events") == []
    assert "alerts/silent" not in {one.topic for one in broker.messages if one.payload}
    Full.commit = lambda *_: pytest.fail("written to after a failed commit")  # type: ignore[method-assign,assignment]
    stand.end()


def test_the_ways_shown_are_those_of_the_settings() -> None:
    kept = (Way("phone", WayState.WORKING, "phone takes messages."), Way("old", WayState.TROUBLE, "Gone."))
    shown = ways_shown(["phone", "radio"], has_broker=False, kept=kept, tests=())
    assert [(way.name, way.state) for way in shown] == [
        ("broker", WayState.OFF),
        ("phone", WayState.WORKING),
        ("radio", WayState.WAITING),
    ]
    assert shown[2].remedy


@pytest.mark.parametrize(
    ("sent_min", "tested_min", "shown_min", "by_test"),
    [(None, None, None, False), (5, None, 5, False), (None, 3, 3, True), (5, 3, 5, False), (5, 7, 7, True)],
)
def test_what_last_arrived_is_shown_whether_the_station_or_a_person_sent_it(
    sent_min: int | None, tested_min: int | None, shown_min: int | None, by_test: bool
) -> None:
    def after(minutes: int | None) -> datetime | None:
        return None if minutes is None else START + timedelta(minutes=minutes)

    kept = Way("phone", WayState.WORKING, "phone takes messages.", delivered_at=after(sent_min))
    tests = [Arrived("phone", at) for at in [after(tested_min)] if at]
    _, shown = ways_shown(["phone"], has_broker=False, kept=[kept], tests=[*tests, Arrived("radio", START)])
    assert shown == replace(kept, delivered_at=after(shown_min), by_test=by_test)


def test_a_test_that_arrived_counts_before_the_station_has_used_the_way() -> None:
    (broker,) = ways_shown([], has_broker=True, kept=(), tests=[Arrived(BROKER, START)])
    assert (broker.state, broker.delivered_at, broker.by_test) == (WayState.WAITING, START, True)


def test_how_a_way_is_doing_is_not_known_while_the_station_is_not_running() -> None:
    kept = (
        Way("phone", WayState.WORKING, "phone takes messages.", delivered_at=START, waiting=2),
        Way("radio", WayState.TROUBLE, "The address is wrong.", "Correct it."),
    )
    shown = while_stopped(ways_shown(["phone", "radio"], has_broker=False, kept=kept, tests=()))
    assert [(way.name, way.state, way.line, way.remedy) for way in shown[1:]] == [
        ("phone", "not known", "The station is not running.", ""),
        ("radio", "not known", "The station is not running.", ""),
    ]
    assert shown[0].state is WayState.OFF
    assert (shown[1].delivered_at, shown[1].waiting) == (START, 2)  # what happened before is no less true


@pytest.mark.parametrize(("minutes", "stopped"), [(-60.0, False), (0.0, False), (3.0, False), (3.1, True)])
def test_a_station_that_has_kept_nothing_for_three_minutes_has_stopped(minutes: float, stopped: bool) -> None:
    assert has_stopped(START, START + timedelta(minutes=minutes)) is stopped


def test_a_strain_alert_tells_the_evening_as_it_is_foreseen_now() -> None:
    from station.causes import Cause
    from tests.daemon.test_alerts import NOON, NOTHING, minute

    cause = Cause(AlertKind.STRAIN, "mint-1", NOON, value=1.0)
    step = minute(NOTHING, NOON, cause)
    later = minute(step, NOON + timedelta(minutes=1), replace(cause, value=2.0))
    assert later.open_alerts[0].value == 2.0
