"""A logged week through the station's own rules: conditions, alerts, each jar's warmth and range."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TypeAlias

from sim.clocks import ManualClock
from station.alerts import Happening
from station.config import Settings
from station.daemon import JudgedMinute, Station
from station.domain.alert import Alert
from station.domain.conditions import Kind
from station.domain.jars import Jar
from station.domain.needs import Needs
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.warmth import GAP_SLACK
from station.ports import Answer, Message, Minute, Rig, Saved

OnMinute: TypeAlias = Callable[[JudgedMinute], None]
"""What is called after each kept minute."""
PROGRESS_EVERY = 2000


class MemoryLog:
    """A shelf log that keeps in memory only what the rules ask for again (see `station.ports.ShelfLog`)."""

    def __init__(self, judged: tuple[Outlook, ...] = ()) -> None:
        self._judged = judged
        self.alerts: dict[str, Alert] = {}
        self.outlooks: dict[str, Outlook] = {}
        self._hours: dict[int, tuple[float, float]] = {}

    def saved(self) -> Saved:
        """Nothing but what was known of judged jars: a replay begins afresh."""
        return Saved(outlooks=self._judged)

    def commit(self, minute: Minute) -> None:
        """Keep alerts, outlooks and hourly means."""
        reading = minute.reading
        if reading is not None and (temp_c := reading.air_temp_c) is not None:
            hour = int(reading.measured_at.timestamp() - 0.5 * reading.span_s) // 3600
            total, seconds = self._hours.get(hour, (0.0, 0.0))
            self._hours[hour] = (total + temp_c * reading.span_s, seconds + reading.span_s)
        for alert in minute.alerts:
            self.alerts[alert.id] = alert
        for outlook in minute.outlooks:
            self.outlooks[outlook.jar_id] = outlook

    def pending(self, most: int = 50, target: str | None = None) -> tuple[Message, ...]:
        """Nothing is sent from a replay."""
        return ()

    def waiting(self) -> Mapping[str | None, int]:
        """Nothing is sent from a replay."""
        return {}

    def free_bytes(self) -> int | None:
        """It lies nowhere."""
        return None

    def readings(self, since_at: datetime, until_at: datetime | None = None) -> Iterable[Reading]:
        """Nothing: a replayed jar is known from before its first reading, so there is nothing to catch up with."""
        return ()

    def hour_temps(self, since_at: datetime) -> Sequence[tuple[datetime, float]]:
        """Hourly mean temperatures since a time; older hours are forgotten."""
        first = int(since_at.timestamp()) // 3600
        for hour in [hour for hour in self._hours if hour < first]:
            del self._hours[hour]
        zone = since_at.tzinfo
        return [
            (datetime.fromtimestamp(hour * 3600, zone), total / seconds)
            for hour, (total, seconds) in self._hours.items()
        ]


class FixedNotebook:
    """A notebook with a few jars that nobody writes in."""

    def __init__(self, jars: tuple[Jar, ...] = (), needs: Needs | None = None) -> None:
        self._jars = jars
        self._needs = needs or Needs()

    def version(self) -> int:
        """It never changes."""
        return 1

    def jars_on_shelf(self) -> tuple[Jar, ...]:
        """All of them."""
        return self._jars

    def needs(self) -> Needs:
        """What was learned before; no jar of a replay is judged in it."""
        return self._needs

    def answers_to(self, alert_ids: Iterable[str]) -> tuple[Answer, ...]:
        """None: nobody is there to answer."""
        return ()


class NoSignal:
    """A lamp that is not there."""

    def show(self, level: str) -> None:
        """Show nothing."""

    def close(self) -> None:
        """Nothing to close."""


@dataclass(slots=True)
class Tally:
    """Least, mean and most of one quantity, and how much time was measured."""

    least: float | None = None
    most: float | None = None
    _total: float = 0.0
    seconds: float = 0.0

    def add(self, value: float | None, span_s: float) -> None:
        """Take in one value that stands for `span_s` seconds; None is left out."""
        if value is None:
            return
        if self.least is None or self.most is None:
            self.least = self.most = value
        elif value < self.least:
            self.least = value
        elif value > self.most:
            self.most = value
        self._total += value * span_s
        self.seconds += span_s

    @property
    def mean(self) -> float | None:
        """The mean over the measured time, or None."""
        return self._total / self.seconds if self.seconds else None


@dataclass(slots=True)
class Replay:
    """What a replay came to."""

    count: int = 0
    first_at: datetime | None = None
    last_at: datetime | None = None
    gaps: int = 0
    temp_c: Tally = field(default_factory=Tally)
    rh_pct: Tally = field(default_factory=Tally)
    light_lx: Tally = field(default_factory=Tally)
    condition_h: dict[Kind, float] = field(default_factory=dict)
    alerts: list[Alert] = field(default_factory=list)
    jars: list[tuple[Jar, Outlook | None]] = field(default_factory=list)
    evenings: dict[str, datetime] = field(default_factory=dict)
    """The evening on which each jar would have been strained: the first proposal whose time came."""
    foreseen: dict[str, datetime] = field(default_factory=dict)
    """The evening that each strain alert named when it was raised, by the alert's id: of a jar that is left standing it
    moves on with every evening that goes by."""

    def add(self, judged: JudgedMinute) -> None:
        """Take in one kept minute."""
        reading = judged.minute.reading
        if reading is None:
            return
        self._span(reading)
        self.temp_c.add(reading.air_temp_c, reading.span_s)
        self.rh_pct.add(reading.rh_pct, reading.span_s)
        self.light_lx.add(reading.light_lx, reading.span_s)
        for state in judged.memory.shelf.states:
            if state.raised:
                self.condition_h[state.kind] = self.condition_h.get(state.kind, 0.0) + reading.span_s / 3600.0
        for change in judged.changes:
            alert = change.alert
            if change.happening is Happening.RAISED and (evening_at := alert.evening_at) is not None:
                self.foreseen[alert.id] = evening_at
        for outlook in judged.memory.outlooks:
            evening_at = outlook.evening_at
            if evening_at is not None and evening_at <= reading.measured_at:
                self.evenings.setdefault(outlook.jar_id, evening_at)

    def _span(self, reading: Reading) -> None:
        if self.first_at is None:
            self.first_at = reading.measured_at
        elif self.last_at is not None:
            late_s = (reading.measured_at - self.last_at).total_seconds()
            self.gaps += late_s > GAP_SLACK * reading.span_s
        self.last_at = reading.measured_at
        self.count += 1


def replay(
    readings: Iterable[Reading],
    settings: Settings,
    jars: tuple[Jar, ...] = (),
    on_progress: Callable[[int], None] | None = None,
    on_minute: OnMinute | None = None,
    needs: Needs | None = None,
    judged: tuple[Outlook, ...] = (),
) -> Replay:
    """Run the station over readings on a manual clock, as fast as it goes.

    Args:
        readings: in order of time.
        settings: limits, place, units and evening rule.
        jars: jars on the shelf; one packed after the first reading joins then.
        on_progress: called now and then with the number of readings done.
        on_minute: called after each minute with what was judged.
        needs: what was learned of plants before; nothing if None.
        judged: what was known of the jars that taught it; none of them may have the id of one of `jars`.
    """
    log = MemoryLog(judged)
    outcome = Replay()
    rig = Rig(ManualClock(), (), None, NoSignal())
    station = Station(settings, rig, log, FixedNotebook(jars, needs), _both(outcome.add, on_minute), looked_at=False)
    station.start()
    for number, reading in enumerate(readings, 1):
        station.take(reading)
        if on_progress is not None and number % PROGRESS_EVERY == 0:
            on_progress(number)
    last = {outlook.jar_id: outlook for outlook in station.memory.outlooks}
    kept = {**log.alerts, **{alert.id: alert for alert in station.memory.alerts}}
    outcome.alerts = sorted(kept.values(), key=lambda alert: (alert.raised_at, alert.id))
    outcome.jars = [(jar, last.get(jar.id)) for jar in jars]
    return outcome


def _both(first: OnMinute, second: OnMinute | None) -> OnMinute:
    if second is None:
        return first

    def both(judged: JudgedMinute) -> None:
        first(judged)
        second(judged)

    return both


def shifted(readings: Iterable[Reading], shift_c: float) -> Iterator[Reading]:
    """Yield the readings as if the shelf had been `shift_c` °C warmer."""
    for reading in readings:
        yield reading if reading.temp_c is None else replace(reading, temp_c=reading.temp_c + shift_c)
