"""When the clock comes right: every time of this boot that was taken with a wrong clock moves."""

import sqlite3
from datetime import datetime

from station.ports import Redating
from station.store import rollups
from station.store.reading_rows import BOOT_SHIFT, id_range, since_boot_ms
from station.store.times import at_ms, ms_of

_LAST_UNTRUSTED = (
    "SELECT id, dated_ms, boot_id FROM readings JOIN boots ON no = id >> ? WHERE trusted = 0 ORDER BY id DESC LIMIT 1"
)
_ALERT_TIMES = ("raised_us", "since_us", "cleared_us", "acknowledged_us", "put_off_until_us", "notified_us")


def untrusted_boot(connection: sqlite3.Connection) -> tuple[str, datetime | None]:
    """Return the newest boot with untrusted readings, and the time of its second 0 by the last of them; or "", None."""
    row = connection.execute(_LAST_UNTRUSTED, (BOOT_SHIFT,)).fetchone()
    if row is None:
        return "", None
    key, dated_ms, boot_id = row
    return boot_id, at_ms(dated_ms - since_boot_ms(key))


def redate(connection: sqlite3.Connection, boot_no: int, change: Redating) -> None:
    """Move the untrusted readings of a boot, their hours and their alerts; doing it twice changes nothing.

    Args:
        connection: inside a write transaction.
        boot_no: the boot's number in the file.
        change: what is known now.
    """
    moved = _move_readings(connection, boot_no, ms_of(change.boot_at))
    _move_alerts(connection, change, moved)


def _move_readings(connection: sqlite3.Connection, boot_no: int, boot_ms: int) -> dict[int, int]:
    """Return the new time of each old one, in milliseconds."""
    first, last = id_range(boot_no)
    where = "id BETWEEN ? AND ? AND trusted = 0"
    rows = connection.execute(f"SELECT id, dated_ms, span_ms FROM readings WHERE {where}", (first, last)).fetchall()  # noqa: S608
    connection.execute(
        "UPDATE readings SET raw_ms = coalesce(raw_ms, dated_ms), dated_ms = ? + id - ?, trusted = 1"  # noqa: S608
        f" WHERE {where}",
        (boot_ms, first, first, last),
    )
    moved = [(dated_ms, boot_ms + key - first, span_ms) for key, dated_ms, span_ms in rows]
    touched = [rollups.hour_of(ms, span_ms) for old, new, span_ms in moved for ms in (old, new)]
    rollups.rebuild(connection, touched)
    return {old: new for old, new, _ in moved}


def _move_alerts(connection: sqlite3.Connection, change: Redating, moved: dict[int, int]) -> None:
    """Move a boot's untrusted alerts: with the reading of that moment if there is one, else by the shift."""
    columns = ", ".join(_ALERT_TIMES)
    sql = f"SELECT id, {columns} FROM alerts WHERE boot_id = ? AND trusted = 0"  # noqa: S608
    update = f"UPDATE alerts SET {' = ?, '.join(_ALERT_TIMES)} = ?, trusted = 1 WHERE id = ?"  # noqa: S608
    for key, *times in connection.execute(sql, (change.boot_id,)).fetchall():
        connection.execute(update, (*(_moved(us, moved, change.shift_s) for us in times), key))


def _moved(us: int | None, moved: dict[int, int], shift_s: float) -> int | None:
    if us is None:
        return None
    old_ms = (us + 500) // 1000
    return us + (moved[old_ms] - old_ms) * 1000 if old_ms in moved else us + round(shift_s * 1e6)
