"""Condition states, the light's mean, alerts, outlooks and messages as rows."""

import struct
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind, SlidingMean, State
from station.domain.heartbeat import Heartbeat
from station.domain.outlook import Outlook
from station.domain.way import Way, WayState
from station.ports import Message
from station.store.times import at_us, us_of

LIGHT = "light mean"
"""The name of the one row of `states` that is not a condition."""
PUT_STATE = (
    "INSERT INTO states (name, raised, held_s, since_us, peak, value, slots, boot_id) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
    " ON CONFLICT (name) DO UPDATE SET raised = excluded.raised, held_s = excluded.held_s,"
    " since_us = excluded.since_us, peak = excluded.peak, value = excluded.value, slots = excluded.slots,"
    " boot_id = excluded.boot_id"
)
_ALERT = (
    "id, kind, raised_us, since_us, jar_id, value, peak, cleared_us, acknowledged_us, put_off_until_us, notified_us,"
    " boot_id, trusted"
)
ALERTS = f"SELECT {_ALERT} FROM alerts"  # noqa: S608
LAST_CLEARED = (
    f"SELECT {_ALERT}, max(cleared_us) FROM alerts WHERE jar_id = '' AND cleared_us IS NOT NULL GROUP BY kind"  # noqa: S608
)
"""The last of each condition that cleared; SQLite takes the other columns from the row with the greatest."""
PUT_ALERT = f"INSERT OR REPLACE INTO alerts ({_ALERT}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"  # noqa: S608
PUT_OUTLOOK = (
    "INSERT INTO outlooks (jar_id, body) VALUES (?, ?) ON CONFLICT (jar_id) DO UPDATE SET body = excluded.body"
)
PUT_MESSAGE = "INSERT INTO outbox (topic, payload, retain, content_type, created_us) VALUES (?, ?, ?, ?, ?)"
_MESSAGES = "SELECT id, topic, payload, retain, content_type, created_us FROM outbox"
FOR_BROKER = f"{_MESSAGES} WHERE topic NOT LIKE 'notify/%' ORDER BY id LIMIT ?"
FOR_TARGET = f"{_MESSAGES} WHERE topic = ? ORDER BY id LIMIT ?"
WAITING = "SELECT CASE WHEN topic LIKE 'notify/%' THEN topic ELSE '' END, count(*) FROM outbox GROUP BY 1"
PUT_WAY = (
    "INSERT OR REPLACE INTO ways (place, name, state, line, remedy, delivered_us, waiting) VALUES (?, ?, ?, ?, ?, ?, ?)"
)
WAYS = "SELECT name, state, line, remedy, delivered_us, waiting FROM ways ORDER BY place"
PUT_HEARTBEAT = (
    "INSERT OR REPLACE INTO heartbeat (one, at_us, version, uptime_s, clock_trusted, last_reading_us, free_bytes)"
    " VALUES (1, ?, ?, ?, ?, ?, ?)"
)
HEARTBEAT = "SELECT at_us, version, uptime_s, clock_trusted, last_reading_us, free_bytes FROM heartbeat"
_OUTLOOK = TypeAdapter(Outlook)


def row_of_state(state: State) -> tuple[Any, ...]:
    """Return what PUT_STATE takes."""
    since_us = us_of(state.since_at)
    return state.kind.value, state.raised, state.held_s, since_us, state.peak, state.value, None, None


def state_of(row: tuple[Any, ...]) -> State:
    """Return the state a row of `states` holds."""
    name, raised, held_s, since_us, peak, value, *_ = row
    return State(Kind(name), bool(raised), held_s, at_us(since_us), peak, value)


def row_of_light(light: SlidingMean) -> tuple[Any, ...]:
    """Return what PUT_STATE takes for the light's mean."""
    slots = b"".join(struct.pack("<qdd", *slot) for slot in light.slots)
    return LIGHT, None, light.window_s, None, None, None, slots, light.boot_id


def light_of(row: tuple[Any, ...]) -> SlidingMean:
    """Return the light's mean; one that was kept before boots were is of no known boot."""
    return SlidingMean(row[2], tuple(struct.iter_unpack("<qdd", row[6])), row[7] or "")


def row_of_alert(alert: Alert) -> tuple[Any, ...]:
    """Return what PUT_ALERT takes."""
    return (
        alert.id,
        alert.kind.value,
        us_of(alert.raised_at),
        us_of(alert.since_at),
        alert.jar_id,
        alert.value,
        alert.peak,
        us_of(alert.cleared_at),
        us_of(alert.acknowledged_at),
        us_of(alert.put_off_until_at),
        us_of(alert.notified_at),
        alert.boot_id,
        alert.trusted,
    )


@lru_cache(maxsize=1024)  # a season's: what has cleared stays as it is
def alert_of(row: tuple[Any, ...]) -> Alert:
    """Return the alert a row holds."""
    key, kind, raised_us, since_us, jar_id, value, peak, cleared, noted, put_off, notified, boot_id, trusted = row
    return Alert(
        id=key,
        kind=AlertKind(kind),
        raised_at=at_us(raised_us),
        since_at=at_us(since_us),
        jar_id=jar_id,
        value=value,
        peak=peak,
        cleared_at=at_us(cleared),
        acknowledged_at=at_us(noted),
        put_off_until_at=at_us(put_off),
        notified_at=at_us(notified),
        boot_id=boot_id,
        trusted=bool(trusted),
    )


def row_of_outlook(outlook: Outlook) -> tuple[str, str]:
    """Return what PUT_OUTLOOK takes."""
    return outlook.jar_id, _OUTLOOK.dump_json(outlook).decode()


def outlooks_of(rows: Iterable[tuple[str]]) -> tuple[Outlook, ...]:
    """Return the outlooks that rows of one body each hold.

    An outlook that an earlier version wrote in another form is left out: the station counts it again from the readings.
    """
    return tuple(outlook for (body,) in rows if (outlook := _outlook_of(body)) is not None)


def _outlook_of(body: str) -> Outlook | None:
    try:
        return _OUTLOOK.validate_json(body)
    except ValidationError:
        return None


def row_of_message(message: Message) -> tuple[Any, ...]:
    """Return what PUT_MESSAGE takes."""
    return message.topic, message.payload, message.retain, message.content_type, us_of(message.created_at)


def message_of(row: tuple[Any, ...]) -> Message:
    """Return the message a row holds."""
    key, topic, payload, retain, content_type, created_us = row
    return Message(key, topic, payload, bool(retain), content_type, at_us(created_us))


def row_of_way(place: int, way: Way) -> tuple[Any, ...]:
    """Return what PUT_WAY takes."""
    return place, way.name, way.state.value, way.line, way.remedy, us_of(way.delivered_at), way.waiting


def way_of(row: tuple[Any, ...]) -> Way:
    """Return the way a row of WAYS holds."""
    name, state, line, remedy, delivered_us, waiting = row
    return Way(name, WayState(state), line, remedy, at_us(delivered_us), waiting)


def row_of_heartbeat(beat: Heartbeat) -> tuple[Any, ...]:
    """Return what PUT_HEARTBEAT takes."""
    last_us = us_of(beat.last_reading_at)
    return us_of(beat.at), beat.version, beat.uptime_s, beat.clock_trusted, last_us, beat.free_bytes


def heartbeat_of(row: tuple[Any, ...]) -> Heartbeat:
    """Return the heartbeat a row of HEARTBEAT holds."""
    taken_us, version, uptime_s, trusted, last_us, free_bytes = row
    return Heartbeat(at_us(taken_us), version, uptime_s, bool(trusted), at_us(last_us), free_bytes)
