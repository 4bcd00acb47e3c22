import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from station import messages, senml
from station.domain.alert import Alert, AlertKind
from station.domain.heartbeat import Heartbeat
from station.domain.jars import Jar, Stage
from station.domain.outlook import Outlook
from station.domain.readings import ProbeReading
from station.domain.warmth import JarHeat, Warmth
from station.ports import Message
from tests.builders import START, a_reading

SUN = Alert("sun-1a2b-540", AlertKind.SUN, START + timedelta(minutes=5), START, value=18_400.0, peak=21_000.123)


def said(message: Message) -> dict[str, Any]:
    content: dict[str, Any] = json.loads(message.payload)
    return content


def test_the_status_says_online_and_leaves_out_what_is_not_known() -> None:
    message = messages.status(Heartbeat(START, "0.1.0", 61.4, clock_trusted=False))
    assert (message.topic, message.retain, message.id, message.content_type) == ("status", True, 0, "application/json")
    assert said(message) == {
        "state": "online",
        "at": "2026-05-04T06:00:00Z",
        "version": "0.1.0",
        "uptime_s": 61,
        "clock_trusted": False,
    }


def test_the_status_of_a_station_that_is_gone_says_offline() -> None:
    assert json.loads(messages.OFFLINE) == {"state": "offline"}


def test_a_reading_is_a_pack_of_what_was_measured() -> None:
    message = messages.readings(a_reading(light_lx=None, probes=(ProbeReading("left", 21.5),)), "kitchen")
    assert message is not None
    assert (message.topic, message.retain, message.content_type) == ("readings", False, "application/senml+json")
    assert [(one.name, one.unit, one.value, one.at) for one in senml.decode(message.payload, START)] == [
        ("jarside/kitchen/temperature", "Cel", 20.0, START),
        ("jarside/kitchen/humidity", "%RH", 55.0, START),
        ("jarside/kitchen/probe/left", "Cel", 21.5, START),
    ]


def test_a_reading_of_an_untrusted_clock_is_of_about_now() -> None:
    reading = a_reading(measured_at=datetime(1970, 1, 1, 0, 5, tzinfo=UTC), trusted=False)
    message = messages.readings(reading, "kitchen")
    assert message is not None
    assert {one.at for one in senml.decode(message.payload, START)} == {START}


def test_a_minute_without_a_measurement_says_nothing() -> None:
    assert messages.readings(a_reading(temp_c=None, rh_pct=None, light_lx=None), "kitchen") is None


def test_an_open_alert_stands_in_its_topic_and_a_cleared_one_leaves_it_empty() -> None:
    message = messages.alert_state(SUN, "Sun.", START)
    assert (message.topic, message.retain) == ("alerts/sun", True)
    assert said(message) == {
        "id": "sun-1a2b-540",
        "kind": "sun",
        "raised_at": "2026-05-04T06:05:00Z",
        "since_at": "2026-05-04T06:00:00Z",
        "value": 18400.0,
        "peak": 21000.12,
        "unit": "lx",
        "text": "Sun.",
    }
    gone = messages.alert_state(replace(SUN, cleared_at=START), "", START)
    assert (gone.topic, gone.payload, gone.retain) == ("alerts/sun", b"", True)


def test_a_jar_s_alert_has_a_topic_of_its_own_and_names_its_evening() -> None:
    evening_at = START + timedelta(days=1)
    alert = replace(SUN, kind=AlertKind.STRAIN, jar_id="comfrey-3", value=evening_at.timestamp(), peak=None)
    message = messages.alert_state(alert, "Strain it.", START)
    assert message.topic == "alerts/strain/comfrey-3"
    assert said(message)["evening_at"] == "2026-05-05T06:00:00Z"
    assert said(message)["jar"] == "comfrey-3"
    assert "value" not in said(message)


def test_an_event_is_not_retained_and_its_id_is_made_of_what_it_is() -> None:
    one, again = (messages.event(SUN, "put off", "Sun.", START, notify=True) for _ in range(2))
    assert one == again
    assert (one.topic, one.retain) == ("events", False)
    assert said(one)["id"] == "sun-1a2b-540.put-off.1777874400"
    assert said(one)["alert"] == "sun-1a2b-540"
    assert said(one)["happening"] == "put off"
    assert said(one)["notify"] is True
    assert said(messages.event(SUN, "put off", "Sun.", START, notify=False))["notify"] is False
    others = [
        messages.event(SUN, "raised", "Sun.", START, notify=True),
        messages.event(SUN, "put off", "Sun.", START + timedelta(seconds=1), notify=True),
        messages.event(replace(SUN, id="sun-1a2b-999"), "put off", "Sun.", START, notify=True),
    ]
    assert len({said(other)["id"] for other in others} | {said(one)["id"]}) == 4


def test_every_alert_that_is_not_open_is_said_to_be_cleared() -> None:
    cold_strain = replace(SUN, kind=AlertKind.STRAIN, jar_id="comfrey-3")
    gone = {one.topic for one in messages.not_raised([SUN, cold_strain], ["comfrey-3", "nettle-1"], START)}
    assert {"alerts/cold", "alerts/silent", "alerts/strain/nettle-1", "alerts/past-ready/comfrey-3"} <= gone
    assert not {"alerts/sun", "alerts/strain/comfrey-3", "alerts/strain"} & gone
    assert len(gone) == 5 + 2 * 4 - 1


@pytest.mark.parametrize("ready_at", [None, START])
def test_a_jar_s_topic_says_how_far_it_is(ready_at: datetime | None) -> None:
    jar = Jar("comfrey-3", "comfrey", START, 1000.0)
    heat = JarHeat(Warmth(observed_h=24.0), START, 20.004)
    outlook = Outlook("comfrey-3", START, heat, Stage.PAST_READY, 0.9, 0.6, 4.5, 5.5, 6.7, START, ready_at=ready_at)
    message = messages.jar_state(jar, outlook)
    content = said(message)
    assert (message.topic, message.retain) == ("jars/comfrey-3", True)
    assert content["stage"] == "past ready"
    assert content["temp_c"] == 20.0
    assert content["need"] == {"low": 4.5, "likely": 5.5, "high": 6.7}
    assert content["ready"] == {"early_at": "2026-05-04T06:00:00Z"}
    assert ("ready_at" in content) is (ready_at is not None)
    assert messages.jar_gone("comfrey-3", START).payload == b""


def test_a_message_to_a_person_knows_its_target_and_no_other_message_has_one() -> None:
    message = messages.for_person("phone", "It is 14.2 °C.", START)
    assert messages.target_of(message.topic) == "phone"
    assert message.payload.decode() == "It is 14.2 °C."
    assert messages.target_of("events") is None
