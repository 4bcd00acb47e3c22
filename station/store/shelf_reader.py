"""The shelf log as everybody else reads it: each question fetches everything at once and leaves nothing open."""

import sqlite3
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from itertools import chain, pairwise
from pathlib import Path
from typing import Any, TypeVar, cast

from station.domain.alert import Alert
from station.domain.coming_sun import Lit
from station.domain.conditions import State
from station.domain.heartbeat import Heartbeat, brought_forward
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.way import Way
from station.store.connection import connect_to_read, plainly
from station.store.finished import FRONTIER, Finished, Frontier
from station.store.migrations import SHELF_LOG, up_to_date
from station.store.reading_rows import LAST_MEASURED, SELECT, paged, readings_of
from station.store.state_rows import (
    ALERTS,
    HEARTBEAT,
    LIGHT,
    WAYS,
    alert_of,
    heartbeat_of,
    outlooks_of,
    state_of,
    way_of,
)
from station.store.summaries import Bucket, HourSummary, Samples
from station.store.summary_rows import SERIES, bucket_of, hour_of, stretch_of, summed_sql, unit_ms_of
from station.store.times import HOUR_MS, at_ms, ms_of, us_of

Part = tuple[int, int]
"""A stretch of the log, from its first hour, day or millisecond to the one after its last."""
Summary = TypeVar("Summary", HourSummary, Bucket)


class ShelfReader:
    """Questions to the shelf log. A file that is not there yet, or still empty, gives empty answers.

    Each question opens the file anew, so that threads may share a reader; `together` is for a page that asks a lot.
    What `summed` and `steps` make of finished hours is asked once and kept.

    Args:
        path: `shelf.db` in the data folder.
        finished: what is kept.

    Raises:
        StoreError: (by every question) the file is not ours, newer than this program, or cannot be read.
    """

    def __init__(self, path: Path, finished: Finished | None = None) -> None:
        self._path = path
        self._finished = finished or Finished()
        self._kept: sqlite3.Connection | None = None
        self._file = 0
        self._checked = False

    @contextmanager
    def together(self) -> Iterator["ShelfReader"]:
        """Lend a reader that answers every question over one connection: three times as fast, for one thread."""
        one = ShelfReader(self._path, self._finished)
        one._file = self._inode()
        if one._file:
            one._kept = connect_to_read(self._path)
        try:
            yield one
        finally:
            if one._kept is not None:
                one._kept.close()
                one._kept = None

    @property
    def path(self) -> Path:
        """Where the file is."""
        return self._path

    @property
    def exists(self) -> bool:
        """Whether the station has ever written here."""
        return self._path.is_file()

    def latest(self) -> Reading | None:
        """The newest reading of the newest boot, whatever its clock said; of imported ones the last."""
        found = self._ask_readings(f"{SELECT} ORDER BY id DESC LIMIT 1")
        return found[0] if found else None

    def readings(self, since_at: datetime, until_at: datetime | None = None) -> Iterator[Reading]:
        """Readings by their dated time, in order, both ends included."""
        with suppress(_NothingYetError):
            yield from paged(self._opened, since_at, until_at)

    def hours(self, since_at: datetime, until_at: datetime) -> tuple[HourSummary, ...]:
        """The hours that begin at or after `since_at` and before `until_at`; hours without a reading left out."""
        sql = "SELECT * FROM hours WHERE hour >= ? AND hour < ? ORDER BY hour"
        bounds = (-(-ms_of(since_at) // HOUR_MS), -(-ms_of(until_at) // HOUR_MS))
        return tuple(map(hour_of, self._ask(sql, bounds)))

    def summed(self, edges: Sequence[datetime]) -> tuple[HourSummary, ...]:
        """The hours between each two neighbouring edges put together; stretches without a reading left out.

        Args:
            edges: two or more times, aware, rising; an hour belongs to the stretch in which it begins.
        """
        hours = [-(-ms_of(at) // HOUR_MS) for at in edges]
        return self._known("summed", HOUR_MS, list(pairwise(hours)), self._summed)

    def _summed(self, parts: list[Part]) -> dict[Part, HourSummary]:
        places = [(n, first, last) for n, (first, last) in enumerate(parts)]
        rows = self._ask(summed_sql(len(parts)), tuple(chain.from_iterable(places)))
        return {parts[row[0]]: stretch_of(row, parts[row[0]][0]) for row in rows}

    def series(self, since_at: datetime, until_at: datetime, buckets: int) -> tuple[Bucket, ...]:
        """A chart of `since_at` to `until_at` in at most `buckets` steps of equal length; empty steps left out.

        A long chart has steps of whole hours, a very long one of whole days (UTC); its first and last step may then
        reach beyond what was asked for.

        Args:
            since_at, until_at: aware; the second later than the first.
            buckets: 1 or more.
        """
        since_ms, until_ms = ms_of(since_at), ms_of(until_at)
        unit_ms = unit_ms_of(-(-(until_ms - since_ms) // buckets))
        first, last = since_ms // unit_ms, -(-until_ms // unit_ms)
        width = max(1, -(-(last - first) // buckets))
        return tuple(self._stepped(unit_ms, width, (first, last)).values())

    def steps(self, since_at: datetime, until_at: datetime, step_s: float) -> tuple[Bucket, ...]:
        """The same in steps of a known length, of which those that are finished are asked for only once.

        Args:
            since_at, until_at: aware; the second later than the first.
            step_s: how long they are, seconds: full hours or full days if they are as long as that.
        """
        width_ms = round(step_s * 1000.0)
        unit_ms = unit_ms_of(width_ms)
        first, last, width = ms_of(since_at) // unit_ms, -(-ms_of(until_at) // unit_ms), width_ms // unit_ms
        parts = [(start, min(start + width, last)) for start in range(first, last, width)]

        def asked(unknown: list[Part]) -> dict[Part, Bucket]:
            found = self._stepped(unit_ms, width, (unknown[0][0], unknown[-1][1]))
            return {part: found[part[0]] for part in unknown if part[0] in found}

        return self._known(width_ms, unit_ms, parts, asked)

    def _stepped(self, unit_ms: int, width: int, part: Part) -> dict[int, Bucket]:
        """Return the steps of a part of the log in which something was measured, by where they begin."""
        first, last = part
        rows = self._ask(SERIES[unit_ms], (first, width, first, last))
        return {first + row[0] * width: bucket_of(row, first * unit_ms, width * unit_ms) for row in rows}

    def _known(
        self, what: Hashable, unit_ms: int, parts: list[Part], ask: Callable[[list[Part]], dict[Part, Summary]]
    ) -> tuple[Summary, ...]:
        """Return what is in some parts of the log, those left out in which nothing is.

        Args:
            what: the kind of question.
            unit_ms: what parts are counted in.
            parts: stretches, in order.
            ask: finds what is in those of them that are not known.
        """
        frontier = self._frontier()
        known = self._finished.known(frontier)
        unknown = [part for part in parts if (what, part) not in known]
        found = ask(unknown) if unknown else {}
        self._finished.keep(
            frontier,
            {(what, part): found.get(part) for part in unknown if part[1] * unit_ms <= frontier.until_ms},
        )
        every = [found.get(part) or known.get((what, part)) for part in parts]
        return tuple([cast(Summary, one) for one in every if one is not None])

    def _frontier(self) -> Frontier:
        """Return how far the log is finished; one that is not there is finished nowhere."""
        file = self._file if self._kept else self._inode()  # taken first: should another take its place, that is seen
        rows = self._ask(FRONTIER)
        times, hour, alerts = rows[0] if rows else (0, None, 0)
        return Frontier(file, times, _NOWHERE_MS if hour is None else hour * HOUR_MS, alerts)

    def _inode(self) -> int:
        return self._path.stat().st_ino if self.exists else 0

    def lit(self, limit_lx: float, since_at: datetime, until_at: datetime) -> tuple[Lit, ...]:
        """The readings whose light was `limit_lx` or more, in order; found by their hours, so that nights cost nothing.

        Args:
            limit_lx: the light of direct sun.
            since_at, until_at: aware.
        """
        since_ms, until_ms, limit = ms_of(since_at), ms_of(until_at), round(limit_lx * 1000.0)
        hours = (since_ms // HOUR_MS - 1, until_ms // HOUR_MS + 1, limit)
        rows = self._ask(_LIT, (*hours, limit, since_ms, until_ms))
        return tuple(Lit(at_ms(dated_ms - span_ms // 2), span_ms / 1000.0) for dated_ms, span_ms in rows)

    def samples(self, since_at: datetime) -> Samples:
        """How the sensors did since then."""
        sql = "SELECT total(good), total(missed), count(*), total(trusted = 0) FROM readings WHERE dated_ms >= ?"
        rows = self._ask(sql, (ms_of(since_at),))
        return Samples(*map(int, rows[0])) if rows else Samples()

    def conditions(self) -> tuple[State, ...]:
        """Where each condition stands."""
        return tuple(map(state_of, self._ask("SELECT * FROM states WHERE name <> ?", (LIGHT,))))

    def alerts(
        self,
        *,
        open_only: bool = False,
        since_at: datetime | None = None,
        until_at: datetime | None = None,
        limit: int = 200,
    ) -> tuple[Alert, ...]:
        """Alerts, the newest first.

        Args:
            open_only: leave out those that have cleared.
            since_at: leave out those that cleared before it.
            until_at: leave out those that were raised after it.
            limit: at most this many.
        """
        until_us = 1 << 62 if until_at is None else us_of(until_at)
        if open_only:  # "+" keeps the index of all times out: the open ones have their own, found at once among years
            sql = f"{ALERTS} WHERE cleared_us IS NULL AND +raised_us <= ? ORDER BY +raised_us DESC, id DESC LIMIT ?"
            return tuple(map(alert_of, self._ask(sql, (until_us, limit))))
        since_us = -(1 << 62) if since_at is None else us_of(since_at)
        sql = (
            f"{ALERTS} WHERE raised_us <= ? AND (cleared_us IS NULL OR cleared_us >= ?)"
            " ORDER BY raised_us DESC, id DESC LIMIT ?"
        )
        return tuple(map(alert_of, self._ask(sql, (until_us, since_us, limit))))

    def alerts_within(self, since_at: datetime, until_at: datetime, limit: int) -> tuple[Alert, ...]:
        """The same for a stretch of time; those of whole hours are asked for only once until an alert changes.

        Args:
            since_at, until_at: aware.
            limit: about so many at most.
        """
        frontier = self._frontier()
        hours = ms_of(since_at) // HOUR_MS, ms_of(until_at) // HOUR_MS + 1
        what = ("alerts", frontier.alerts, hours, limit)
        found = cast(tuple[Alert, ...] | None, self._finished.known(frontier).get(what))
        if found is None:
            first_at, last_at = (at_ms(hour * HOUR_MS) for hour in hours)
            found = self.alerts(since_at=first_at, until_at=last_at, limit=limit)
            self._finished.keep(frontier, {what: found})
        ended = [one for one in found if one.cleared_at is None or one.cleared_at >= since_at]
        return tuple([one for one in ended if one.raised_at <= until_at])

    def outlooks(self) -> tuple[Outlook, ...]:
        """What the station thinks of each jar, by id."""
        return outlooks_of(self._ask("SELECT body FROM outlooks ORDER BY jar_id"))

    def outlook(self, jar_id: str) -> Outlook | None:
        """What the station thinks of one jar; None before its first minute."""
        found = outlooks_of(self._ask("SELECT body FROM outlooks WHERE jar_id = ?", (jar_id,)))
        return found[0] if found else None

    def ways(self) -> tuple[Way, ...]:
        """How each way out was doing when the station last said so; of ways that are in the settings no more, too."""
        return tuple(map(way_of, self._ask(WAYS)))

    def heartbeat(self) -> Heartbeat | None:
        """The station's sign of life, as of its latest reading; None before its first minute."""
        found, latest = self._ask(HEARTBEAT), self.latest()
        if not found or latest is None:
            return None
        measured = self._ask(LAST_MEASURED)
        return brought_forward(heartbeat_of(found[0]), latest, at_ms(measured[0][0]) if measured else None)

    def first_at(self) -> datetime | None:
        """The dated time of the earliest reading."""
        rows = self._ask("SELECT min(dated_ms) FROM readings")
        return at_ms(rows[0][0]) if rows and rows[0][0] is not None else None

    def count(self) -> int:
        """How many readings there are."""
        rows = self._ask("SELECT total(n) FROM days")
        return int(rows[0][0]) if rows else 0

    def _ask(self, sql: str, values: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
        with suppress(_NothingYetError), self._opened() as connection:
            return connection.execute(sql, values).fetchall()
        return []

    def _ask_readings(self, sql: str) -> list[Reading]:
        with suppress(_NothingYetError), self._opened() as connection:
            return readings_of(connection, connection.execute(sql).fetchall())
        return []

    @contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection]:
        if not self.exists:
            raise _NothingYetError
        connection = self._kept or connect_to_read(self._path)
        try:
            if not self._checked and not up_to_date(connection, self._path, SHELF_LOG):
                raise _NothingYetError
            self._checked = self._kept is not None  # one connection, one file: it need not be looked at again
            with plainly(self._path):
                yield connection
        finally:
            if connection is not self._kept:
                connection.close()


class _NothingYetError(Exception):
    """The station has not written anything so far."""


_LIT = (  # a reading ends at most half its span (an hour at most) after its hour
    "SELECT DISTINCT dated_ms, span_ms FROM hours CROSS JOIN readings"  # noqa: S608
    f" ON dated_ms >= hour * {HOUR_MS} AND dated_ms <= hour * {HOUR_MS} + {HOUR_MS * 3 // 2}"
    " WHERE hour >= ? AND hour <= ? AND light_max >= ? AND light >= ? AND +dated_ms >= ? AND +dated_ms <= ?"
    " ORDER BY dated_ms"
)
_NOWHERE_MS = -(1 << 62)
