"""`jarside alerts` and `jarside status`, over what a station in a small world has kept."""

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sim.clocks import ManualClock
from sim.rig import RememberingPublisher
from station.cli.command_answers import CommandAnswers
from station.config import MqttSettings
from station.domain.alert import AlertKind
from station.domain.packing import Cover, Packing
from station.domain.readings import Miss
from station.mqtt import MqttPublisher
from station.ports import Answer
from station.store.notebook import Notebook
from tests.builders import START
from tests.cli.shell import a_log, jarside, refused
from tests.daemon.broker import PASSWORDS, Broker
from tests.daemon.listener import Listener, until
from tests.daemon.test_notify import SECRET, Receiver
from tests.daemon.world import Stand, a_stand, steady


def minutes_ago(minutes: float) -> datetime:
    return datetime.now(UTC).replace(microsecond=0) - timedelta(minutes=minutes)


@pytest.fixture
def cold(tmp_path: Path) -> Iterator[Stand]:
    """A station that has been on for forty minutes, on a shelf that is too cold."""
    stand = a_stand(tmp_path, steady(12.0), start_at=minutes_ago(40), publisher=RememberingPublisher()).live(40)
    yield stand
    stand.end()


def settings_file(folder: Path, text: str) -> Path:
    path = folder / "jarside.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_an_open_alert_is_listed_with_its_sentence(cold: Stand) -> None:
    said = jarside("alerts", "list", data=cold.folder)
    assert cold.station.memory.alerts[0].id in said.out
    assert "Too cold: 12." in said.out
    assert "Move the jars somewhere warmer." in said.out
    (alert,) = jarside("alerts", "list", "--json", data=cold.folder).json
    assert (alert["kind"], alert["open"], alert["acknowledged_at"]) == ("cold", True, None)
    assert "°F" in jarside("alerts", "list", data=cold.folder, config=settings_file(cold.folder, F)).out


F = '[units]\ntemperature = "F"\n'


def test_where_nothing_is_open_that_is_said(tmp_path: Path) -> None:
    assert jarside("alerts", "list", data=tmp_path).out == "No alert is open.\n"
    assert jarside("alerts", "list", "--json", data=tmp_path).json == []


def test_an_acknowledged_alert_is_taken_note_of_by_the_station(cold: Stand) -> None:
    assert "acknowledged" in jarside("alerts", "ack", "cold", data=cold.folder).out
    cold.live(1)
    assert cold.station.memory.alerts[0].acknowledged_at is not None
    assert "Acknowledged" in jarside("alerts", "list", data=cold.folder).out


def test_an_acknowledgement_can_be_taken_back_and_given_again(cold: Stand) -> None:
    """And travels with the notebook's files as it is."""
    jarside("alerts", "ack", "cold", data=cold.folder)
    assert cold.live(1).station.memory.alerts[0].acknowledged_at is not None
    said = jarside("alerts", "ack", "cold", "--take-back", data=cold.folder)
    assert "is no longer acknowledged" in said.out
    assert cold.live(1).station.memory.alerts[0].acknowledged_at is None
    assert "Acknowledged" not in jarside("alerts", "list", data=cold.folder).out
    with Notebook.open(cold.folder / "notebook.db") as notebook:
        answers = notebook.answers(minutes_ago(3000))
    file = cold.folder / "notebook.csv"
    assert jarside("notebook", "export", file, data=cold.folder).code == 0
    assert jarside("notebook", "import", file, data=cold.folder / "elsewhere").code == 0
    with Notebook.open(cold.folder / "elsewhere" / "notebook.db") as notebook:
        assert notebook.answers(minutes_ago(3000)) == answers
    jarside("alerts", "ack", "cold", data=cold.folder)
    assert cold.live(2).station.memory.alerts[0].acknowledged_at is not None


def test_an_alert_can_be_put_off_until_a_time_within_a_day(cold: Stand) -> None:
    until_at = minutes_ago(-600)
    said = jarside("alerts", "later", "cold", "--until", until_at.isoformat(), "--json", data=cold.folder).json
    assert said["until_at"] == until_at.isoformat().replace("+00:00", "Z")
    cold.live(1)
    assert cold.station.memory.alerts[0].put_off_until_at == until_at
    assert "Put off until" in jarside("alerts", "list", data=cold.folder).out


def test_without_a_time_it_is_put_off_until_the_quiet_hours_end(cold: Stand) -> None:
    said = jarside("alerts", "later", "cold", "--json", data=cold.folder).json
    until_at = datetime.fromisoformat(said["until_at"])
    assert (until_at.hour, until_at.minute) == (6, 30)
    assert timedelta() < until_at - datetime.now(UTC) <= timedelta(hours=24)


def test_on_the_longest_day_of_the_year_it_is_put_off_for_no_more_than_a_day(
    cold: Stand, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The night in which clocks go back: the next 06:30 is then up to 25 hours away."""
    just_after = datetime(2026, 10, 24, 5, 31, tzinfo=UTC)  # 06:31 in Lisbon
    monkeypatch.setattr("station.cli.alerts_commands.now", lambda: just_after)
    config = settings_file(cold.folder, '[place]\nzone = "Europe/Lisbon"\n')
    said = jarside("alerts", "later", "cold", "--json", data=cold.folder, config=config).json
    assert datetime.fromisoformat(said["until_at"]) == just_after + timedelta(hours=24)


def test_what_cannot_be_done_to_an_alert_is_refused(cold: Stand) -> None:
    far = minutes_ago(-25 * 60).isoformat()
    refused(jarside("alerts", "ack", "hot", data=cold.folder), "no open alert hot", "jarside alerts list")
    refused(jarside("alerts", "later", "cold", "--until", far, data=cold.folder), "put off until", "24 hours")
    past = minutes_ago(60).isoformat()
    refused(jarside("alerts", "later", "cold", "--until", past, data=cold.folder), "that time has passed")
    refused(jarside("alerts", "later", "cold", "--until", "noon", data=cold.folder), "'noon' is not a time")
    with Notebook.open(cold.folder / "notebook.db") as notebook:
        assert notebook.answers(minutes_ago(3000)) == ()


def test_one_letter_answers_no_alert(cold: Stand) -> None:
    """It was enough, and the wrong alert was acknowledged by a slip."""
    alert_id = cold.station.memory.alerts[0].id
    refused(jarside("alerts", "ack", "c", data=cold.folder), f"c could be {alert_id}", "Write more of the id")
    refused(jarside("alerts", "later", "co", data=cold.folder), f"co could be {alert_id}")
    refused(jarside("alerts", "ack", "", data=cold.folder), "no open alert (empty)", "jarside alerts list")
    with Notebook.open(cold.folder / "notebook.db") as notebook:
        assert notebook.answers(minutes_ago(3000)) == ()


def test_the_alert_of_a_jar_is_named_by_its_jar_or_plant_too(tmp_path: Path) -> None:
    stand = a_stand(tmp_path, start_at=minutes_ago(20))
    with Notebook.open(tmp_path / "notebook.db") as grower:
        for plant in ("Mint", "mallow", "mallow"):
            tight = Packing(cover=Cover.TIGHT_LID)
            grower.pack(plant, minutes_ago(20), 1000.0, now_at=minutes_ago(20), packing=tight)
    stand.live(3)
    open_ids = sorted(alert.id for alert in stand.station.memory.alerts)
    assert len(open_ids) == 3
    mint = next(one for one in open_ids if "mint-1" in one)
    for name in ("mint", "mint-1", "Mint"):
        assert jarside("alerts", "later", name, "--json", data=tmp_path).json["alert"] == mint
    several = ", ".join(one for one in open_ids if one != mint)
    refused(jarside("alerts", "ack", "mallow", data=tmp_path), "mallow could be cover-mallow")
    assert jarside("alerts", "ack", "mallow-2", "--json", data=tmp_path).json["alert"] in several
    stand.end()


def test_the_status_says_how_the_station_is(cold: Stand) -> None:
    out = jarside("status", data=cold.folder).out
    for fragment in ("up 40 min", "last reading", "just now", "clock         right", " GB", "open alerts   1"):
        assert fragment in out, out
    assert "No broker is set up." in out
    said = jarside("status", "--json", data=cold.folder).json
    assert said["writing"] is True
    assert said["clock_trusted"] is True
    assert said["uptime_s"] == 2400
    assert said["free_bytes"] > 0
    assert said["open_alerts"] == 1


def test_the_status_tells_each_way_of_the_settings(cold: Stand) -> None:
    text = '[mqtt]\nhost = "127.0.0.1"\n[[notify]]\nname = "phone"\naddress = "json://localhost"\n'
    config = settings_file(cold.folder, text)
    said = jarside("status", "--json", data=cold.folder, config=config).json
    assert [(way["way"], way["state"]) for way in said["ways"]] == [("broker", "working"), ("phone", "waiting")]
    out = jarside("status", data=cold.folder, config=config).out
    assert "broker        working: A broker of the model world." in out
    assert "json://" not in out


def test_the_status_of_a_station_that_stopped_or_never_was_says_so(tmp_path: Path) -> None:
    assert "has not kept anything yet" in jarside("status", data=tmp_path).out
    assert jarside("status", "--json", data=tmp_path).json["at"] is None
    a_stand(tmp_path, start_at=minutes_ago(300)).live(10).end()
    assert "The station is not writing" in jarside("status", data=tmp_path).out
    assert jarside("status", "--json", data=tmp_path).json["writing"] is False


def test_while_the_station_is_stopped_the_status_does_not_know_how_its_ways_are(tmp_path: Path) -> None:
    """A dead station's broker was said to be working."""
    a_stand(tmp_path, start_at=minutes_ago(20), publisher=RememberingPublisher()).live(10).end()
    config = settings_file(tmp_path, '[mqtt]\nhost = "127.0.0.1"\n')
    out = jarside("status", data=tmp_path, config=config).out
    assert "broker        not known: The station is not running." in out
    assert jarside("status", "--json", data=tmp_path, config=config).json["ways"][0]["state"] == "not known"


def test_a_station_that_never_measured_and_stopped_has_written_all_the_same(tmp_path: Path) -> None:
    a_stand(tmp_path, lambda _: Miss("shelf", "no answer"), start_at=minutes_ago(20)).live(10).end()
    out = jarside("status", data=tmp_path).out
    assert out.startswith("The station is not writing: it last wrote 10 minutes ago, at ")
    assert "last reading  none yet" in out


def test_after_a_clock_was_set_back_nothing_is_said_to_have_come_just_now(tmp_path: Path) -> None:
    a_stand(tmp_path, start_at=minutes_ago(-3 * 1440)).live(10).end()
    out = jarside("status", data=tmp_path).out
    assert "Readings are dated in the future" in out
    assert "(in the future, by 3 days)" in out
    assert "just now" not in out
    assert "is not writing" not in out
    assert jarside("status", "--json", data=tmp_path).json["writing"] is None


def test_an_imported_reading_of_the_future_is_said_to_be_one(tmp_path: Path) -> None:
    a_stand(tmp_path, lambda _: Miss("shelf", "not there"), start_at=minutes_ago(10)).live(10).end()
    row = f"{minutes_ago(-3 * 1440 - 10).isoformat()},20,50,100"
    assert jarside("import", a_log(tmp_path, row), data=tmp_path).code == 0
    out = jarside("status", data=tmp_path).out
    assert "(in the future, by 3 days)" in out
    assert "just now" not in out


def test_a_clock_that_is_seconds_behind_is_no_future(tmp_path: Path) -> None:
    a_stand(tmp_path, start_at=minutes_ago(9)).live(10).end()
    out = jarside("status", data=tmp_path).out
    assert "just now" in out
    assert "future" not in out


def test_a_station_on_a_wrong_clock_says_so(tmp_path: Path) -> None:
    from sim.clocks import ClockFaults

    faults = ClockFaults(begins_at=datetime(1970, 1, 1, tzinfo=UTC), syncs="never")
    a_stand(tmp_path, clock=ManualClock(minutes_ago(5), faults)).live(5).end()
    assert "not known to be right" in jarside("status", data=tmp_path).out


def test_a_test_without_any_way_is_refused(tmp_path: Path) -> None:
    refused(jarside("alerts", "test", data=tmp_path), "no way out is set up", "[[notify]]")


def with_broker(broker: Broker, folder: Path, more: str = "") -> Path:
    file = folder / "password"
    file.write_text(PASSWORDS["jarside"])
    text = (
        f'station = "kitchen"\n[mqtt]\nhost = "127.0.0.1"\nport = {broker.port}\n'
        f'username = "jarside"\npassword_file = "{file}"\n{more}'
    )
    return settings_file(folder, text)


def test_a_test_goes_through_the_broker_and_leaves_the_station_s_own_connection_alone(
    broker: Broker, tmp_path: Path
) -> None:
    from tests.daemon.listener import Outbox, a_publisher

    listener = Listener(broker).ready()
    station = Outbox(a_publisher(broker))
    station.put("events")
    assert station.empties()
    said = jarside("alerts", "test", data=tmp_path, config=with_broker(broker, tmp_path))
    assert (said.code, said.out) == (0, "Broker took the test.\n")
    assert until(lambda: listener.payloads("test"))
    (told,) = listener.payloads("test")
    assert "alerts reach you" in json.loads(told)["text"]
    assert json.loads(told)["id"]
    assert re.search(rb'"at":"[0-9T:-]+Z"', told), "times are written as in every other message"
    station.put("events")
    assert station.empties()
    assert listener.payloads("status") == []  # neither will nor goodbye
    listener.close()
    station.publisher.close()


def test_a_test_arrives_at_a_broker_to_which_nobody_listens(broker: Broker, tmp_path: Path) -> None:
    said = jarside("alerts", "test", data=tmp_path, config=with_broker(broker, tmp_path))
    assert (said.code, said.out) == (0, "Broker took the test.\n")


def test_a_test_that_arrived_is_what_the_way_last_delivered(broker: Broker, tmp_path: Path) -> None:
    config = with_broker(broker, tmp_path, '[[notify]]\nname = "odd"\naddress = "x"\n')
    begun_at = minutes_ago(0)
    assert "the test did not arrive by: odd" in jarside("alerts", "test", data=tmp_path, config=config).err
    out = jarside("status", data=tmp_path, config=config).out
    assert "(a test)." in next(line for line in out.splitlines() if line.startswith("broker"))
    assert "delivered" not in next(line for line in out.splitlines() if line.startswith("odd"))
    broker_now, odd_now = jarside("status", "--json", data=tmp_path, config=config).json["ways"]
    assert (broker_now["by_test"], odd_now["by_test"], odd_now["delivered_at"]) == (True, False, None)
    assert begun_at <= datetime.fromisoformat(broker_now["delivered_at"]) <= minutes_ago(-1)


def test_a_test_that_does_not_arrive_says_why_and_what_to_do(broker: Broker, tmp_path: Path) -> None:
    config = with_broker(broker, tmp_path)
    (tmp_path / "password").write_text("wrong")
    said = jarside("alerts", "test", data=tmp_path, config=config)
    assert said.code == 1
    assert "refuses this user name and password" in said.out
    assert "the test did not arrive by: broker" in said.err


def test_a_test_goes_to_each_phone_and_shows_no_secret(tmp_path: Path) -> None:
    pytest.importorskip("apprise")
    receiver = Receiver()
    try:
        text = f'[[notify]]\nname = "phone"\naddress = "{receiver.address}"\n[[notify]]\nname = "odd"\naddress = "x"\n'
        said = jarside("alerts", "test", data=tmp_path, config=settings_file(tmp_path, text))
        assert [body for body in receiver.bodies if "alerts reach you" in body]
        assert said.code == 1
        assert "Phone took the test." in said.out
        assert "The address of odd is not understood." in said.out
        assert SECRET not in said.out + said.err
    finally:
        receiver.close()


class Heard:
    """What came by the broker's command topic."""

    def __init__(self, *answers: Answer) -> None:
        self._answers = answers

    def answers(self) -> tuple[Answer, ...]:
        taken, self._answers = self._answers, ()
        return taken


def test_a_test_that_a_phone_does_not_take_is_not_said_to_be_tried_again(tmp_path: Path) -> None:
    pytest.importorskip("apprise")
    text = '[[notify]]\nname = "phone"\naddress = "json://127.0.0.1:9"\n'
    said = jarside("alerts", "test", data=tmp_path, config=settings_file(tmp_path, text))
    assert said.out == "Phone did not take the message. Check the network and the address in the settings.\n"
    assert "the test did not arrive by: phone" in said.err


def test_commands_of_the_broker_become_answers_about_open_alerts_only(
    cold: Stand, capsys: pytest.CaptureFixture[str]
) -> None:
    """And within the minute: who acknowledged by broker waited for nearly two."""
    open_id = cold.station.memory.alerts[0].id
    at = cold.clock.now()
    with Notebook.open(cold.folder / "notebook.db") as notebook:
        cold.station._hear = CommandAnswers(Heard(Answer("cold-of-last-year", at), Answer(open_id, at)), notebook)
        cold.live(1)
        assert [answer.alert_id for answer in notebook.answers(at)] == [open_id]
    assert cold.station.memory.alerts[0].acknowledged_at == at
    said = "A command was passed over: no alert 'cold-of-last-year' is open. See: jarside alerts list.\n"
    assert capsys.readouterr().err == said


def test_a_command_in_the_last_second_of_a_minute_belongs_to_that_minute() -> None:
    """A minute is dated by its full second; a delay that began after it would wait for the next one."""
    at = datetime(2026, 5, 4, 12, 0, 0, 700_000, tzinfo=UTC)
    publisher = MqttPublisher(MqttSettings(host="127.0.0.1", commands=True), "kitchen", ManualClock(at))
    publisher.heard(b'{"alert": "cold-1", "do": "later", "hours": 2}')
    (answer,) = publisher.answers()
    assert (answer.at, answer.until_at) == (at.replace(microsecond=0), datetime(2026, 5, 4, 14, 0, tzinfo=UTC))


def test_a_strain_alert_tells_its_evening_as_a_time_and_no_number(tmp_path: Path) -> None:
    """What it keeps in the place of a value are seconds since 1970."""
    stand = a_stand(tmp_path, steady(22.0), strain={"need_warm_days": 2.0})
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("mint", START, 1000.0, now_at=START)
    stand.live(2400).end()
    (alert,) = [one for one in stand.station.memory.alerts if one.kind is AlertKind.STRAIN]
    listed = jarside("alerts", "list", "--json", data=tmp_path).json
    told = next(one for one in listed if one["kind"] == "strain")
    assert (told["value"], told["peak"]) == (None, None)
    assert datetime.fromisoformat(told["evening_at"]) == alert.evening_at
