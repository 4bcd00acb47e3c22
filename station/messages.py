"""What is said to programs and phones: messages made of the domain's values. Topics are below `jarside/<station>/`.

Every payload but `readings` is a JSON object; times are ISO 8601 in UTC, a key whose value is not known is left out.
An empty retained payload means that there is nothing there any more.
"""

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

from station import senml
from station.domain.alert import Alert, AlertKind
from station.domain.heartbeat import Heartbeat
from station.domain.jars import Jar
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.ports import Message
from station.senml import Record

JSON = "application/json"
TEXT = "text/plain; charset=utf-8"
STATUS = "status"
READINGS = "readings"
EVENTS = "events"
TEST = "test"
OFFLINE = b'{"state":"offline"}'
"""The status that the broker publishes for a station that has gone."""


def status(heartbeat: Heartbeat) -> Message:
    """Return `status`, retained.

    `state` ("online"; "offline" is said by the broker), `at`, `version`, `uptime_s`, `clock_trusted`,
    `last_reading_at`, `free_bytes`.
    """
    content = {
        "state": "online",
        "at": heartbeat.at,
        "version": heartbeat.version,
        "uptime_s": round(heartbeat.uptime_s),
        "clock_trusted": heartbeat.clock_trusted,
        "last_reading_at": heartbeat.last_reading_at,
        "free_bytes": heartbeat.free_bytes,
    }
    return _latest(STATUS, content, heartbeat.at)


def readings(reading: Reading, station: str) -> Message | None:
    """Return `readings`, a SenML pack (RFC 8428) with `temperature` in Cel, `humidity` in %RH, `light` in lx and
    `probe/<name>` in Cel below the base name `jarside/<station>/`; None if nothing was measured.

    A reading whose time is not to be trusted is sent without one, which in SenML means "about now".
    """
    base = f"jarside/{station}/"
    at = reading.measured_at if reading.trusted else None
    shelf = (
        ("temperature", "Cel", reading.temp_c),
        ("humidity", "%RH", reading.rh_pct),
        ("light", "lx", reading.light_lx),
    )
    probes = tuple((f"probe/{probe.probe}", "Cel", probe.temp_c) for probe in reading.probes)
    given = [(name, unit, value) for name, unit, value in (*shelf, *probes) if value is not None]
    records = [Record(base + name, unit, round(value, 3), at) for name, unit, value in given]
    if not records:
        return None
    payload = senml.encode(records, base)
    return Message(0, READINGS, payload, False, senml.CONTENT_TYPE, reading.measured_at)


def alert_topic(kind: AlertKind, jar_id: str = "") -> str:
    """Return the topic of an alert: `alerts/<kind>` or `alerts/<kind>/<jar>`."""
    return f"alerts/{kind}/{jar_id}" if jar_id else f"alerts/{kind}"


def alert_state(alert: Alert, text: str, at: datetime) -> Message:
    """Return the alert's topic, retained: how it is while it is open, empty once it has cleared.

    `id`, `kind`, `jar`, `raised_at`, `since_at`, `value` and `peak` with `unit` (a unit of SenML; of damp the distance
    to where mould can start), `evening_at` of a strain alert, `acknowledged_at`, `put_off_until_at`, `text`.

    Args:
        alert: the alert.
        text: the sentence for people.
        at: when this is said, aware UTC.
    """
    if not alert.open:
        return cleared(alert.kind, alert.jar_id, at)
    return _latest(alert_topic(alert.kind, alert.jar_id), _alert(alert) | {"text": text}, at)


def cleared(kind: AlertKind, jar_id: str, at: datetime) -> Message:
    """Return the retained message that there is no such alert."""
    return Message(0, alert_topic(kind, jar_id), b"", True, JSON, at)


def not_raised(open_alerts: Iterable[Alert], jar_ids: Iterable[str], at: datetime) -> tuple[Message, ...]:
    """Return a `cleared` for every alert that is not open: with these a broker that knows old ones is put right.

    Args:
        open_alerts: the alerts that are open.
        jar_ids: the jars on the shelf.
        at: when this is said, aware UTC.
    """
    is_open = {(alert.kind, alert.jar_id) for alert in open_alerts}
    of_shelf = [(kind, "") for kind in AlertKind if kind.condition is not None]
    of_jars = [(kind, jar_id) for jar_id in jar_ids for kind in AlertKind if kind.condition is None]
    return tuple(cleared(kind, jar_id, at) for kind, jar_id in (*of_shelf, *of_jars) if (kind, jar_id) not in is_open)


def event(alert: Alert, happening: str, text: str, at: datetime, *, notify: bool) -> Message:
    """Return one alert change for `events`, not retained.

    `id` (of this change; the same whenever it is sent again), `alert` (the alert's id), `happening` ("raised",
    "acknowledged", "taken back", "put off", "reminded", "cleared"), `at`, `notify` (whether people are told of it now:
    false in quiet hours, when a condition comes again within three hours, when it clears, and of whatever a person
    did), and all of the alert's own keys.

    Args:
        alert: the alert as it is after the change.
        happening: what happened to it.
        text: the sentence for people.
        at: when it happened, aware UTC.
        notify: whether people are told of it now.
    """
    own = _alert(alert) | {"cleared_at": alert.cleared_at, "text": text}
    own["alert"] = own.pop("id")
    content = {"id": event_id(alert, happening, at), "happening": happening, "at": at, "notify": notify} | own
    return Message(0, EVENTS, _json(content), False, JSON, at)


def event_id(alert: Alert, happening: str, at: datetime) -> str:
    """Return the id of one change: made of what it is, so that working it out again gives the same."""
    return f"{alert.id}.{happening.replace(' ', '-')}.{at.timestamp():.0f}"


def summary(dropped: Sequence[Message], text: str, at: datetime) -> Message:
    """Return one message for `events` in the place of many that could not be sent for long, not retained.

    `id`, `happening` ("summary"), `at`, `count` (of the events left out), `first_at`, `last_at`, `text`.

    Args:
        dropped: the events left out, in order; at least one. An earlier summary among them counts for its own.
        text: the sentence for people.
        at: when they were left out, aware UTC.
    """
    first_at = dropped[0].created_at
    content = {
        "id": f"summary-{dropped[0].id}-{dropped[-1].id}",
        "happening": "summary",
        "at": at,
        "count": sum(json.loads(one.payload).get("count", 1) for one in dropped),
        "first_at": first_at,
        "last_at": dropped[-1].created_at,
        "text": text,
    }
    return Message(0, EVENTS, _json(content), False, JSON, first_at)


def jar_topic(jar_id: str) -> str:
    """Return the topic of a jar."""
    return f"jars/{jar_id}"


def jar_state(jar: Jar, outlook: Outlook) -> Message:
    """Return a jar's topic, retained.

    `jar`, `plant`, `stage`, `packed_at`, `judged_at`, `temp_c`, `warm_days`, `observed_h`, `missing_h`,
    `need {low, likely, high}` in warm-days, `chance_ready`, `chance_past`, `ready {early_at, likely_at, late_at}`,
    `ready_at`, `strain_evening_at`, `reason`, `caveats`.
    """
    warmth = outlook.heat.warmth
    content = {
        "jar": jar.id,
        "plant": jar.plant,
        "stage": outlook.stage.value,
        "packed_at": jar.packed_at,
        "judged_at": outlook.judged_at,
        "temp_c": _rounded(outlook.heat.temp_c, 2),
        "warm_days": _rounded(outlook.warm_days, 3),
        "observed_h": _rounded(warmth.observed_h, 2),
        "missing_h": _rounded(warmth.missing_h, 2),
        "need": {
            "low": _rounded(outlook.need_low, 2),
            "likely": _rounded(outlook.need_likely, 2),
            "high": _rounded(outlook.need_high, 2),
        },
        "chance_ready": _rounded(outlook.chance_ready, 3),
        "chance_past": _rounded(outlook.chance_past, 3),
        "ready": {
            "early_at": outlook.ready_early_at,
            "likely_at": outlook.ready_likely_at,
            "late_at": outlook.ready_late_at,
        },
        "ready_at": outlook.ready_at,
        "strain_evening_at": outlook.evening_at,
        "reason": outlook.evening_reason,
        "caveats": list(outlook.caveats),
    }
    return _latest(jar_topic(jar.id), content, outlook.judged_at)


def jar_gone(jar_id: str, at: datetime) -> Message:
    """Return the retained message that this jar stands here no longer."""
    return Message(0, jar_topic(jar_id), b"", True, JSON, at)


def test(text: str, test_id: str, at: datetime) -> Message:
    """Return `test`, which a person sends, not retained: `id` (the same whenever it is sent again), `at`, `text`.

    Args:
        text: the sentence for people.
        test_id: of this test alone.
        at: when it is sent, aware UTC.
    """
    return Message(0, TEST, _json({"id": test_id, "at": at, "text": text}), False, JSON, at)


def for_person(target: str, text: str, at: datetime) -> Message:
    """Return a message to a person, on the way called `target` in the settings; it never goes to a broker."""
    return Message(0, person_topic(target), text.encode(), False, TEXT, at)


def person_topic(target: str) -> str:
    """Return the topic under which messages for one target lie in the outbox."""
    return f"notify/{target}"


def target_of(topic: str) -> str | None:
    """Return the target that an outbox topic is for, or None for the broker's."""
    return topic.removeprefix("notify/") if topic.startswith("notify/") else None


def _alert(alert: Alert) -> dict[str, Any]:
    unit = alert.kind.unit
    return {
        "id": alert.id,
        "kind": alert.kind.value,
        "jar": alert.jar_id or None,
        "raised_at": alert.raised_at,
        "since_at": alert.since_at,
        "value": _rounded(alert.value, 2) if unit else None,
        "peak": _rounded(alert.peak, 2) if unit else None,
        "unit": unit,
        "evening_at": alert.evening_at,
        "acknowledged_at": alert.acknowledged_at,
        "put_off_until_at": alert.put_off_until_at,
    }


def _latest(topic: str, content: dict[str, Any], at: datetime) -> Message:
    return Message(0, topic, _json(content), True, JSON, at)


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _json(content: dict[str, Any]) -> bytes:
    known = {key: _plain(value) for key, value in content.items() if value is not None}
    return json.dumps(known, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items() if inner is not None}
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    return value
