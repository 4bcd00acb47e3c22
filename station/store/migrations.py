"""Numbered migrations of the database files; each commits together with its number."""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from station.errors import StoreError
from station.store.connection import plainly, writing

if TYPE_CHECKING:
    from sqlite_utils import Database

Step = Callable[["Database"], None]


@dataclass(frozen=True, slots=True)
class FileKind:
    """A kind of database file.

    Args:
        name: what people call it.
        application_id: SQLite's mark in the file's header.
        steps: the migrations, the first is number 1. Never change one that was released: add another.
    """

    name: str
    application_id: int
    steps: tuple[Step, ...]


_HEADER = (
    "SELECT application_id, user_version, (SELECT count(*) FROM sqlite_master)"
    " FROM pragma_application_id, pragma_user_version"
)
"""Read in one statement, that is at one moment: another program may be making the file just now."""


def identify(connection: sqlite3.Connection, path: Path, kind: FileKind) -> int:
    """Return the number of the last migration the file has had, 0 for a new file. Changes nothing.

    Raises:
        StoreError: not a database, another program's, or from a newer version of this one.
    """
    with plainly(path):
        owner, number, tables = connection.execute(_HEADER).fetchone()
    if owner != kind.application_id and (owner, number, tables) != (0, 0, 0):
        raise StoreError(f"{path} is a database, but not a {kind.name}", "Move it away, or give another data folder.")
    if number > len(kind.steps):
        raise StoreError(
            f"{path} is a {kind.name} of format {number}; this version knows formats up to {len(kind.steps)}",
            "Update Jarside, or restore a backup made by this version.",
        )
    return int(number)


def up_to_date(connection: sqlite3.Connection, path: Path, kind: FileKind) -> bool:
    """Return whether a file that is only read has the present form; False for a new, empty one.

    Raises:
        StoreError: as for `identify`, or the file is from an older version that has not been brought up to date.
    """
    number = identify(connection, path, kind)
    if 0 < number < len(kind.steps):
        raise StoreError(
            f"{path} is a {kind.name} of format {number}; this version reads format {len(kind.steps)}",
            "Restart jarside watch: it brings the file up to date.",
        )
    return number > 0


def migrate(connection: sqlite3.Connection, path: Path, kind: FileKind) -> None:
    """Bring a file up to date, one transaction a migration.

    Raises:
        StoreError: as for `identify`, or the file cannot be written.
    """
    while identify(connection, path, kind) < len(kind.steps):
        # Loaded only when there is work: it takes 10 MB that the station would carry for good.
        from sqlite_utils import Database

        with writing(connection, path):
            number = identify(connection, path, kind)  # another program may have been faster
            if number < len(kind.steps):
                kind.steps[number](Database(connection, execute_plugins=False))
                connection.execute(f"PRAGMA application_id = {kind.application_id}")
                connection.execute(f"PRAGMA user_version = {number + 1}")


def _shelf_1(db: "Database") -> None:
    """Integers throughout: times in milliseconds since 1970 (µs where exactness matters), values in thousandths."""
    db.table("boots").create({"no": int, "boot_id": str}, pk="no", not_null={"boot_id"}, strict=True)
    db.table("boots").create_index(["boot_id"], unique=True)
    db.table("boots").insert({"no": 0, "boot_id": "log"})
    db.table("readings").create(
        {
            "id": int,  # the boot's number and the milliseconds since that boot: see reading_rows
            "dated_ms": int,
            "raw_ms": int,  # the wall time first written, NULL while it is dated_ms
            "temp": int,
            "rh": int,
            "light": int,
            "good": int,
            "missed": int,
            "trusted": int,
            "span_ms": int,
            "marks": int,
            "raised": int,  # the conditions that held, as bits: see rollups
        },
        pk="id",
        not_null={"dated_ms", "good", "missed", "trusted", "span_ms", "marks", "raised"},
        strict=True,
    )
    db.table("readings").create_index(["dated_ms"])
    db.execute("CREATE INDEX untrusted ON readings (trusted) WHERE trusted = 0")
    db.execute(
        "CREATE TABLE probes (reading INTEGER NOT NULL, probe TEXT NOT NULL, temp INTEGER NOT NULL,"
        " PRIMARY KEY (reading, probe)) STRICT, WITHOUT ROWID"
    )
    sums = ["n", "measured_ms"]
    sums += [f"{name}_{part}" for name in ("temp", "rh", "light") for part in ("ms", "sum", "min", "max")]
    sums += [f"{kind}_ms" for kind in ("silent", "sun", "hot", "cold", "damp", "bright")]
    always = {cell for cell in sums if not cell.endswith(("_min", "_max"))}
    for table, key in (("hours", "hour"), ("days", "day")):
        db.table(table).create(dict.fromkeys([key, *sums], int), pk=key, not_null=always, strict=True)
    db.execute(
        "CREATE TABLE states (name TEXT PRIMARY KEY, raised INTEGER, held_s REAL, since_us INTEGER,"
        " peak REAL, value REAL, slots BLOB) STRICT, WITHOUT ROWID"
    )
    db.table("alerts").create(
        {
            "id": str,
            "kind": str,
            "raised_us": int,
            "since_us": int,
            "jar_id": str,
            "value": float,
            "peak": float,
            "cleared_us": int,
            "acknowledged_us": int,
            "put_off_until_us": int,
            "notified_us": int,
            "boot_id": str,
            "trusted": int,
        },
        pk="id",
        not_null={"kind", "raised_us", "since_us", "jar_id", "boot_id", "trusted"},
        strict=True,
    )
    db.table("alerts").create_index(["raised_us"])
    db.execute("CREATE INDEX open_alerts ON alerts (id) WHERE cleared_us IS NULL")
    db.table("outlooks").create({"jar_id": str, "body": str}, pk="jar_id", not_null={"body"}, strict=True)
    db.execute(  # AUTOINCREMENT: a number is never given twice, even after its row was sent and deleted
        "CREATE TABLE outbox (id INTEGER PRIMARY KEY AUTOINCREMENT, topic TEXT NOT NULL, payload BLOB NOT NULL,"
        " retain INTEGER NOT NULL, content_type TEXT NOT NULL, created_us INTEGER NOT NULL) STRICT"
    )


def _shelf_2(db: "Database") -> None:
    """How the ways out are doing, in the order in which they are shown, and the station's sign of life."""
    db.execute(
        "CREATE TABLE ways (place INTEGER PRIMARY KEY, name TEXT NOT NULL, state TEXT NOT NULL, line TEXT NOT NULL,"
        " remedy TEXT NOT NULL, delivered_us INTEGER, waiting INTEGER NOT NULL) STRICT"
    )
    db.execute(
        "CREATE TABLE heartbeat (one INTEGER PRIMARY KEY, at_us INTEGER NOT NULL, version TEXT NOT NULL,"
        " uptime_s REAL NOT NULL, clock_trusted INTEGER NOT NULL, last_reading_us INTEGER, free_bytes INTEGER) STRICT"
    )


def _shelf_3(db: "Database") -> None:
    """How often the log was changed before its newest hour, so that readers may keep what they made of the rest.

    Counted from a number of its own: a log that is begun anew is not taken for the one before.
    """
    db.execute("CREATE TABLE rewrites (one INTEGER PRIMARY KEY, times INTEGER NOT NULL) STRICT")
    db.execute("INSERT INTO rewrites (one, times) VALUES (1, random() & 0xFFFFFFFFFF)")
    earlier = "WHEN new.hour < (SELECT max(hour) FROM hours)"
    for name, event in (
        ("hour_added", f"INSERT ON hours {earlier}"),
        ("hour_changed", f"UPDATE ON hours {earlier}"),
        ("hour_dropped", "DELETE ON hours"),
    ):
        db.execute(f"CREATE TRIGGER {name} AFTER {event} BEGIN UPDATE rewrites SET times = times + 1; END")  # noqa: S608


def _shelf_4(db: "Database") -> None:
    """The boot that the light's mean belongs to: its slots count from there."""
    db.execute("ALTER TABLE states ADD COLUMN boot_id TEXT")


def _shelf_5(db: "Database") -> None:
    """How often an alert was raised or changed, so that readers may keep alerts as well."""
    db.execute("ALTER TABLE rewrites ADD COLUMN alerts INTEGER NOT NULL DEFAULT 0")
    for name, event in (("alert_put", "INSERT"), ("alert_moved", "UPDATE"), ("alert_dropped", "DELETE")):
        db.execute(f"CREATE TRIGGER {name} AFTER {event} ON alerts BEGIN UPDATE rewrites SET alerts = alerts + 1; END")  # noqa: S608


def _notebook_1(db: "Database") -> None:
    db.table("entries").create(
        {"id": int, "jar_id": str, "at_us": int, "kind": str, "recorded_us": int, "body": str},
        pk="id",
        not_null={"jar_id", "at_us", "kind", "recorded_us", "body"},
        strict=True,
    )
    db.table("entries").create_index(["jar_id"])
    db.table("numbers").create({"stem": str, "last": int}, pk="stem", not_null={"last"}, strict=True)
    db.table("tokens").create({"token": str, "made": str}, pk="token", not_null={"made"}, strict=True)
    db.table("answers").create(
        {"id": int, "alert_id": str, "at_us": int, "until_us": int},
        pk="id",
        not_null={"alert_id", "at_us"},
        strict=True,
    )
    db.table("answers").create_index(["at_us"])


def _notebook_2(db: "Database") -> None:
    """Whatever is recorded beside jars: bottles, feedings, rounds, trials and the grower's own plants."""
    db.table("records").create(
        {"id": int, "noun": str, "name": str, "at_us": int, "kind": str, "recorded_us": int, "body": str},
        pk="id",
        not_null={"noun", "name", "at_us", "kind", "recorded_us", "body"},
        strict=True,
    )
    db.table("records").create_index(["noun", "name"])


def _notebook_3(db: "Database") -> None:
    """The latest test that arrived on each way out."""
    db.execute("CREATE TABLE way_tests (way TEXT PRIMARY KEY, at_us INTEGER NOT NULL) STRICT, WITHOUT ROWID")


SHELF_LOG = FileKind("shelf log", 0x4A415253, (_shelf_1, _shelf_2, _shelf_3, _shelf_4, _shelf_5))
NOTEBOOK = FileKind("notebook", 0x4A41524E, (_notebook_1, _notebook_2, _notebook_3))
