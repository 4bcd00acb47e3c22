"""The station: every minute gather, judge, commit, send; the same code on a Pi, in the simulator, in a replay."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

from station.alerts import GENTLE, Change, QuietHours, Step, stepped
from station.causes import care_causes, condition_causes, held_causes, jar_causes
from station.config import Settings
from station.delivery import Delivery, Parcel
from station.domain.alert import Alert
from station.domain.conditions import SlidingMean, State
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.shelf import Judge, Shelf
from station.memory import Memory, redated, redating_of
from station.news import News
from station.outlooks import Minder
from station.pace import Paced, paced
from station.ports import Minute, NotebookView, Redating, Rig, ShelfLog
from station.sampling import Sampler

MINUTE_S = 60.0
SAMPLE_EVERY_S = 10.0
NAP_S = 1.0
"""The longest wait between two looks at the stop flag."""


@dataclass(frozen=True, slots=True)
class JudgedMinute:
    """One minute's verdict: what to keep, what to remember, what happened."""

    minute: Minute
    memory: Memory
    changes: tuple[Change, ...]
    news: News


class Station:
    """One station over one rig, one shelf log and one notebook.

    Args:
        settings: the settings.
        rig: clock, sensors, publisher and signal.
        log: the shelf log; this station is its only writer.
        notebook: what the grower recorded.
        on_minute: called after each kept minute, for the watchdog and for progress.
        hear: called at the end of each minute, before it is judged, with the open alerts: takes down in the notebook
            what people have answered by button or broker meanwhile.
        looked_at: whether anybody looks at the jars; if not, nobody is asked what they see.
    """

    def __init__(
        self,
        settings: Settings,
        rig: Rig,
        log: ShelfLog,
        notebook: NotebookView,
        on_minute: Callable[[JudgedMinute], None] | None = None,
        *,
        hear: Callable[[tuple[Alert, ...]], None] | None = None,
        looked_at: bool = True,
    ) -> None:
        self._rig = rig
        self._log = log
        self._notebook = notebook
        self._on_minute = on_minute
        self._hear = hear
        self._judge = Judge(settings.limits.limits(), settings.place.known)
        self._quiet = QuietHours(settings.quiet.from_, settings.quiet.until, settings.zone)
        self._minder = Minder(settings, log, notebook)
        self._sampler = Sampler(rig.sensors, frozenset(settings.jar_probes))
        self._delivery = Delivery(settings, rig, log)
        self._looked_at = looked_at
        self._sound = True
        """Whether the last commit is known to be kept: after one that failed nothing more is written."""
        self._stopping = False
        self._next_s = 0.0
        self.memory = Memory()

    def start(self) -> None:
        """Remember what the log knows, and open the sensors."""
        saved = self._log.saved()
        shelf = Shelf()
        if saved.conditions:
            known = {state.kind: state for state in saved.conditions}
            shelf = replace(shelf, states=tuple(known.get(state.kind, state) for state in shelf.states))
        if saved.light is not None:
            shelf = replace(shelf, light=saved.light)
        untrusted = saved.untrusted_boot_at if saved.untrusted_boot_id == self._rig.clock.boot_id else None
        self.memory = Memory(shelf, saved.alerts, saved.outlooks, untrusted, cleared=saved.cleared)
        self._sampler.open()
        self._delivery.start(saved)
        self._next_s = self._rig.clock.boottime_s()

    def run(self) -> None:
        """Live minute by minute until `stop`."""
        while not self._stopping:
            self.tick()

    def tick(self) -> None:
        """One minute: gather, judge, commit, send."""
        reading = self._gather()
        if reading is not None:
            self.take(reading)

    def take(self, reading: Reading) -> JudgedMinute:
        """Judge one reading, keep it, and send what is to be sent."""
        judged = self.judged(reading)
        self._sound = False
        self._log.commit(judged.minute)
        self._sound = True
        self.memory = judged.memory
        if judged.minute.redating is not None:
            self.memory = replace(self.memory, outlooks=())  # the log now has other times: count the warmth again
        self._delivery.kept(judged.minute, judged.news)
        self._rig.signal.show(level_of(judged.memory.alerts))
        if self._on_minute is not None:
            self._on_minute(judged)
        return judged

    def stop(self) -> None:
        """Ask the loop to end; the minute under way is dropped. Safe in a signal handler."""
        self._stopping = True

    def close(self) -> None:
        """Let go of sensors, publishers and signal."""
        self._sampler.close()
        try:
            self._delivery.close(keep=self._sound)
        finally:
            self._rig.signal.close()

    def _gather(self) -> Reading | None:
        """Sample every ten seconds for a minute; None when asked to stop."""
        clock = self._rig.clock
        end_s = self._next_s + MINUTE_S
        while self._next_s < end_s:
            self._sampler.poll(clock.boottime_s())
            self._delivery.look()
            self._next_s += SAMPLE_EVERY_S
            self._wait_until(self._next_s)
            if self._stopping:
                return None
        if self._hear is not None:
            self._hear(self.memory.alerts)
        now_s = clock.boottime_s()
        if now_s > end_s + MINUTE_S:  # the machine slept: begin afresh rather than race through lost minutes
            self._next_s = now_s
        return self._sampler.reading(clock.now().replace(microsecond=0), clock.boot_id, now_s, clock.synced(), MINUTE_S)

    def _wait_until(self, boot_s: float) -> None:
        clock = self._rig.clock
        while not self._stopping and (left_s := boot_s - clock.boottime_s()) > 0.0:
            clock.sleep(min(left_s, NAP_S))

    def judged(self, reading: Reading) -> JudgedMinute:
        """Return the verdict on one reading. Moves nothing."""
        before = self.memory
        redating = redating_of(before, reading)
        if redating is not None:
            before = redated(before, redating, reading.boot_s)
        reading = self._judge.marked(before.shelf, reading)
        shelf = self._judge.judged(before.shelf, reading)
        outlooks, written = self._minder.minded(before.outlooks, reading)
        told = self._alerts(before, shelf, outlooks, reading)
        step = told.step
        news = News(
            reading=reading,
            changes=step.changes,
            summary=told.summary,
            moved=_moved(before.alerts, step),
            alerts=step.open_alerts,
            outlooks=outlooks,
            judged=written,
            afresh=redating is not None,
            jars=self._minder.jars,
        )
        minute = _minute_of(news, self._delivery.parcel(news), self.memory.shelf, shelf, redating)
        untrusted = None if reading.trusted else reading.measured_at - timedelta(seconds=reading.boot_s)
        memory = Memory(shelf, step.open_alerts, outlooks, untrusted, told.pace, step.cleared)
        return JudgedMinute(minute, memory, step.changes, news)

    def _alerts(self, before: Memory, shelf: Shelf, outlooks: tuple[Outlook, ...], reading: Reading) -> Paced:
        at = reading.measured_at
        causes = condition_causes(shelf.states, at)
        if outlooks:
            causes += jar_causes(outlooks, before.alerts, at)
        if outlooks and self._looked_at:
            causes += care_causes(self._minder.jars.values(), outlooks, at)
        if not causes and not before.alerts:
            return Paced(Step((), (), before.cleared), before.pace)
        causes += held_causes(before.alerts, self._minder.jars, at)
        answers = self._notebook.answers_to(alert.id for alert in before.alerts) if before.alerts else ()
        step = stepped(before.alerts, causes, answers, reading, self._quiet, before.cleared)
        return paced(step, before.alerts, before.pace, reading.boot_s)


def _minute_of(news: News, parcel: Parcel, before: Shelf, shelf: Shelf, redating: Redating | None) -> Minute:
    """Return what is to be kept of a minute: all that is new, and of the shelf what is not as it was.

    Args:
        news: what happened.
        parcel: what goes out.
        before: the shelf as it was kept, before its times were dated again.
        shelf: the shelf now.
        redating: set once, when the clock has come right.
    """
    states = zip(shelf.states, before.states, strict=True)
    return Minute(
        reading=news.reading,
        conditions=tuple([new for new, old in states if new is not old and _worth_keeping(new, old)]),
        light=shelf.light if _newest_slot(shelf.light) != _newest_slot(before.light) else None,
        alerts=news.moved,
        outlooks=news.judged,
        messages=parcel.messages,
        sent=parcel.sent,
        ways=parcel.ways,
        heartbeat=parcel.heartbeat,
        redating=redating,
    )


def _newest_slot(light: SlidingMean) -> tuple[str, int] | None:
    """Return boot and number of the slot that is being filled: a full window has as many slots at every moment."""
    return (light.boot_id, light.slots[-1][0]) if light.slots else None


def _moved(before: tuple[Alert, ...], step: Step) -> tuple[Alert, ...]:
    """Return the alerts to be kept and shown anew: those that something happened to, and those of another value."""
    if not step.open_alerts and not step.changes:
        return ()
    changed = {change.alert.id: change.alert for change in step.changes}
    values = {alert.id: alert.value for alert in before}
    moved = {one.id: one for one in step.open_alerts if one.id in changed or values.get(one.id) != one.value}
    return tuple((changed | moved).values())


def level_of(alerts: tuple[Alert, ...]) -> str:
    """Return what the lamp shows: `act` while something needs a person, `watch` while it is known of, else `good`."""
    if any(alert.kind not in GENTLE and alert.acknowledged_at is None for alert in alerts):
        return "act"
    return "watch" if alerts else "good"


def _worth_keeping(new: State, old: State) -> bool:
    """Whether a state must be kept for a restart: its last value alone is not, the readings have it."""
    return new.raised != old.raised or new.held_s != old.held_s or new.since_at != old.since_at or new.peak != old.peak
