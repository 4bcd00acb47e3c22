"""What leaves the station: rows of the outbox, offered until they are acknowledged, and the latest of everything else.

Nothing here moves before the commit: `parcel` says what is to be kept, `kept` that it was.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from station import messages
from station.alerts import QuietHours, held_back
from station.config import Settings
from station.domain.heartbeat import Heartbeat
from station.domain.readings import Reading
from station.domain.way import BROKER, Way, WayState
from station.health import program_version
from station.news import News, Words
from station.ports import Message, Minute, Publisher, Rig, Saved, ShelfLog

BATCH = 50
"""How many rows of one way are looked at in one go."""
MOST_EVENTS = 1000
"""So many events wait for the broker at most: at forty alert changes a day, those of three weeks."""
MOST_NOTICES = 60
"""So many notifications wait for one target at most."""
LEFT = 5
"""When there are more, all but the latest few become one summary."""
KEEP_EVERY_S = 600.0
"""How often sign of life and ways are kept when nothing happens: each time costs the card two pages."""
GONE_FOR = timedelta(days=7)
"""At start those jars' topics are put right that were judged no longer than this before the latest of all."""


@dataclass(frozen=True, slots=True)
class Parcel:
    """What one minute adds to the outbox and takes out of it, and what is to be kept of how things stand."""

    messages: tuple[Message, ...] = ()
    sent: tuple[int, ...] = ()
    ways: tuple[Way, ...] = ()
    heartbeat: Heartbeat | None = None


@dataclass(frozen=True, slots=True)
class _Outlet:
    """One way out: the publisher that has it, and the target of the settings; None is the broker."""

    publisher: Publisher
    target: str | None

    @property
    def name(self) -> str:
        return BROKER if self.target is None else self.target

    @property
    def most(self) -> int:
        return MOST_EVENTS if self.target is None else MOST_NOTICES


class Delivery:
    """Brings messages out of the station, each way on its own: one that is blocked holds up no other.

    Args:
        settings: the station's name, the targets, units and zone.
        rig: the publishers and the clock.
        log: where the outbox is.
    """

    def __init__(self, settings: Settings, rig: Rig, log: ShelfLog) -> None:
        self._targets = frozenset(target.name for target in settings.notify)
        self._words = Words(settings)
        self._quiet = QuietHours(settings.quiet.from_, settings.quiet.until, settings.zone)
        self._broker = rig.publisher
        self._clock = rig.clock
        self._log = log
        self._outlets = _outlets(settings, rig)
        self._publishers = [one for one in (rig.publisher, rig.people) if one is not None]
        self._offered: dict[int, str] = {}
        """The way of each row that was handed over."""
        self._done: dict[int, str] = {}
        """The same of rows that were acknowledged or given up, and are not yet taken out of the outbox."""
        self._given_up: frozenset[int] = frozenset()
        self._ways: tuple[Way, ...] = ()
        self._kept_s: float | None = None
        self._started_s = 0.0
        self._measured_at: datetime | None = None
        self._told = False
        self._known_jars: frozenset[str] = frozenset()

    def start(self, saved: Saved) -> None:
        """Say that the station is on, and remember what was kept."""
        self._started_s = self._clock.boottime_s()
        self._ways = saved.ways
        self._measured_at = saved.measured_at
        last_at = max((one.judged_at for one in saved.outlooks), default=self._clock.now())
        self._known_jars = frozenset(one.jar_id for one in saved.outlooks if last_at - one.judged_at <= GONE_FOR)
        self._done.update((number, "") for number in self._undeliverable())
        if self._broker is not None:
            self._broker.offer(messages.status(self._heartbeat(self._clock.now(), self._clock.synced())))

    def _undeliverable(self) -> list[int]:
        """Return the rows for targets that are no longer in the settings."""
        lost = {target: count for target, count in self._log.waiting().items() if target not in (None, *self._targets)}
        return [message.id for target, count in lost.items() for message in self._log.pending(count, target)]

    def look(self) -> None:
        """Take in what was acknowledged, and offer what waits; called every few seconds."""
        for publisher in self._publishers:
            self._take_in(publisher)
        for outlet in self._outlets:
            self._offer_waiting(outlet)

    def _take_in(self, publisher: Publisher) -> None:
        numbers = set(publisher.acknowledged())
        if given_up := frozenset(publisher.given_up()):
            numbers |= given_up - self._given_up
            self._given_up = given_up
        self._done.update((number, self._offered.pop(number)) for number in numbers if number in self._offered)

    def _offer_waiting(self, outlet: _Outlet) -> None:
        for message in self._log.pending(BATCH + len(self._done), outlet.target):
            if message.id in self._done:
                continue
            if not outlet.publisher.offer(message):
                return
            self._offered[message.id] = outlet.name

    def parcel(self, news: News) -> Parcel:
        """Return what is to be kept with a minute."""
        reading = news.reading
        due = self._kept_s is None or not 0.0 <= reading.boot_s - self._kept_s < KEEP_EVERY_S
        if not (due or news.afresh or self._publishers or self._done):
            return _NOTHING
        beat = self._heartbeat(reading.measured_at, reading.trusted, reading) if due or news.afresh else None
        rows, dropped = self._bounded(self._rows(news), reading.measured_at)
        ways = self._with_held(self._ways_now(rows), news)
        worth_keeping = due or bool(rows) or bool(self._done) or not _alike(ways, self._ways)
        return Parcel(rows, (*sorted(self._done), *dropped), ways if worth_keeping else (), beat)

    def _rows(self, news: News) -> list[Message]:
        """Return the new rows of the outbox: every change for the broker, notifications for every target."""
        if not news.changes or not self._outlets:
            return []
        at = news.reading.measured_at
        events = [] if self._broker is None else self._words.events(news)
        texts = self._words.notices(news)
        targets = [outlet.target for outlet in self._outlets if outlet.target is not None]
        return events + [messages.for_person(target, text, at) for text in texts for target in targets]

    def _bounded(self, rows: list[Message], at: datetime) -> tuple[tuple[Message, ...], list[int]]:
        """Return the new rows with a summary for each way that has too many, and the numbers that it stands for."""
        waiting = self._log.waiting() if rows else {}
        dropped: list[int] = []
        for outlet in self._outlets:
            new = sum(messages.target_of(row.topic) == outlet.target for row in rows)
            if new and waiting.get(outlet.target, 0) + new > outlet.most:
                old = [one for one in self._log.pending(outlet.most, outlet.target) if one.id not in self._done][:-LEFT]
                rows = [self._words.instead(tuple(old), outlet.target, at), *rows] if old else rows
                dropped += [message.id for message in old]
        return tuple(rows), dropped

    def kept(self, minute: Minute, news: News) -> None:
        """A minute was kept: send what it brought, and the latest of everything that is not kept in the outbox."""
        for number in minute.sent:
            self._done.pop(number, None)
            self._offered.pop(number, None)
        for publisher in self._publishers:
            publisher.withdraw(minute.sent)
        if minute.heartbeat is not None:
            self._kept_s = news.reading.boot_s
        self._ways = minute.ways or self._ways
        if news.reading.measured:
            self._measured_at = news.reading.measured_at
        self.look()  # what was kept goes first
        if self._broker is not None:
            self._tell(self._broker, news)

    def _tell(self, broker: Publisher, news: News) -> None:
        """Offer status, reading and retained topics; all of these topics with the first minute."""
        reading = news.reading
        broker.offer(messages.status(self._heartbeat(reading.measured_at, reading.trusted, reading)))
        told = news if self._told else replace(news, afresh=True)
        for message in self._words.standing(told, self._known_jars):
            broker.offer(message)
        self._told, self._known_jars = True, frozenset(outlook.jar_id for outlook in news.outlooks)

    def close(self, *, keep: bool) -> None:
        """Let go of the publishers; with `keep`, take what arrived until then out of the outbox."""
        for publisher in self._publishers:
            publisher.close()
            self._take_in(publisher)
        if self._publishers and keep:
            self._log.commit(Minute(sent=tuple(sorted(self._done)), ways=self._ways_now()))
            self._done.clear()

    def _heartbeat(self, at: datetime, trusted: bool, reading: Reading | None = None) -> Heartbeat:  # noqa: FBT001
        measured_at = at if reading is not None and reading.measured else self._measured_at
        uptime_s = (self._clock.boottime_s() if reading is None else reading.boot_s) - self._started_s
        return Heartbeat(at, program_version(), max(uptime_s, 0.0), trusted, measured_at, self._log.free_bytes())

    def _ways_now(self, rows: Iterable[Message] = ()) -> tuple[Way, ...]:
        """Return how each way is doing, with what the publishers do not know of it.

        That is what waits once `rows` are kept and what is done with is gone, and when something arrived before.
        """
        if not self._publishers:
            return ()
        before = {way.name: way.delivered_at for way in self._ways}
        waiting = self._waiting(rows)
        found = (way for publisher in self._publishers for way in publisher.ways())
        return tuple(
            replace(way, waiting=waiting.get(way.name, 0), delivered_at=way.delivered_at or before.get(way.name))
            for way in found
        )

    def _with_held(self, ways: tuple[Way, ...], news: News) -> tuple[Way, ...]:
        """Return the ways to people with what the quiet hours hold back; of one in trouble only the trouble is said."""
        held = held_back(news.alerts, self._quiet, news.reading.measured_at)
        if not held:
            return ways
        more = f" {held} held until {self._quiet.until_time:%H:%M} (quiet hours)."
        return tuple(
            replace(way, line=way.line + more)
            if way.name in self._targets and way.state is not WayState.TROUBLE
            else way
            for way in ways
        )

    def _waiting(self, rows: Iterable[Message]) -> dict[str, int]:
        waiting = {BROKER if target is None else target: count for target, count in self._log.waiting().items()}
        for row in rows:
            name = messages.target_of(row.topic) or BROKER
            waiting[name] = waiting.get(name, 0) + 1
        for name in self._done.values():
            waiting[name] = waiting.get(name, 0) - 1
        return waiting


_NOTHING = Parcel()


def _outlets(settings: Settings, rig: Rig) -> tuple[_Outlet, ...]:
    broker = () if rig.publisher is None else (_Outlet(rig.publisher, None),)
    people = rig.people
    return (*broker, *(_Outlet(people, target.name) for target in settings.notify if people is not None))


def _alike(ways: Iterable[Way], others: Iterable[Way]) -> bool:
    """Whether two accounts of the ways say the same, but for when something last arrived."""
    return [replace(way, delivered_at=None) for way in ways] == [replace(way, delivered_at=None) for way in others]
