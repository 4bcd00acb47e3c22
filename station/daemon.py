"""The station: every minute gather, judge, commit, send; the same code on a Pi, in the simulator, in a replay."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from station.alerts import MUTE, Change, QuietHours, Step, condition_causes, jar_causes, stepped
from station.config import Settings
from station.domain.alert import Alert
from station.domain.conditions import State
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.shelf import Judge, Shelf
from station.outlooks import Minder
from station.ports import Minute, NotebookView, Redating, Rig, ShelfLog
from station.sampling import Sampler

MINUTE_S = 60.0
SAMPLE_EVERY_S = 10.0
NAP_S = 1.0
"""The longest wait between two looks at the stop flag."""


@dataclass(frozen=True, slots=True)
class Memory:
    """What the station carries from minute to minute. It moves only after the commit.

    Args:
        shelf: the conditions.
        alerts: the open alerts.
        outlooks: one per jar on the shelf.
        untrusted_boot_at: the wall time of boot second 0 as this boot's untrusted readings were dated, or None.
    """

    shelf: Shelf = field(default_factory=Shelf)
    alerts: tuple[Alert, ...] = ()
    outlooks: tuple[Outlook, ...] = ()
    untrusted_boot_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """One minute's verdict: what to keep, what to remember, what happened."""

    minute: Minute
    memory: Memory
    changes: tuple[Change, ...]


class Station:
    """One station over one rig, one shelf log and one notebook.

    Args:
        settings: the settings.
        rig: clock, sensors, publisher and signal.
        log: the shelf log; this station is its only writer.
        notebook: what the grower recorded.
        on_minute: called after each kept minute, for the watchdog and for progress.
    """

    def __init__(
        self,
        settings: Settings,
        rig: Rig,
        log: ShelfLog,
        notebook: NotebookView,
        on_minute: Callable[[Judged], None] | None = None,
    ) -> None:
        self._rig = rig
        self._log = log
        self._notebook = notebook
        self._on_minute = on_minute
        self._judge = Judge(settings.limits.limits(), settings.place.known)
        self._quiet = QuietHours(settings.quiet.from_, settings.quiet.until, settings.zone)
        self._minder = Minder(settings, log, notebook)
        self._sampler = Sampler(rig.sensors, frozenset(one.name for one in settings.sensors if one.role == "jar"))
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
        self.memory = Memory(shelf, saved.alerts, saved.outlooks, untrusted)
        self._sampler.open()
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

    def take(self, reading: Reading) -> Judged:
        """Judge one reading, keep it, and send what is to be sent."""
        judged = self.judged(reading)
        self._log.commit(judged.minute)
        self.memory = judged.memory
        if judged.minute.redating is not None:
            self.memory = replace(self.memory, outlooks=())  # the log now has other times: count the warmth again
        self._send(judged)
        return judged

    def stop(self) -> None:
        """Ask the loop to end; the minute under way is dropped. Safe in a signal handler."""
        self._stopping = True

    def close(self) -> None:
        """Let go of sensors, publisher and signal."""
        self._sampler.close()
        if self._rig.publisher is not None:
            self._rig.publisher.close()
        self._rig.signal.close()

    def _gather(self) -> Reading | None:
        """Sample every ten seconds for a minute; None when asked to stop."""
        clock = self._rig.clock
        end_s = self._next_s + MINUTE_S
        while self._next_s < end_s:
            self._sampler.poll(clock.boottime_s())
            self._next_s += SAMPLE_EVERY_S
            self._wait_until(self._next_s)
            if self._stopping:
                return None
        now_s = clock.boottime_s()
        if now_s > end_s + MINUTE_S:  # the machine slept: begin afresh rather than race through lost minutes
            self._next_s = now_s
        return self._sampler.reading(clock.now().replace(microsecond=0), clock.boot_id, now_s, clock.synced(), MINUTE_S)

    def _wait_until(self, boot_s: float) -> None:
        clock = self._rig.clock
        while not self._stopping and (left_s := boot_s - clock.boottime_s()) > 0.0:
            clock.sleep(min(left_s, NAP_S))

    def judged(self, reading: Reading) -> Judged:
        """Return the verdict on one reading. Moves nothing."""
        before = self.memory
        redating = _redating(before, reading)
        if redating is not None:
            before = _redated(before, redating)
        reading = self._judge.marked(before.shelf, reading)
        shelf = self._judge.judged(before.shelf, reading)
        outlooks, written = self._minder.minded(before.outlooks, reading)
        step = self._alerts(before, shelf, outlooks, reading)
        minute = Minute(
            reading=reading,
            conditions=tuple(
                [
                    new
                    for new, old in zip(shelf.states, before.shelf.states, strict=True)
                    if new is not old and _worth_keeping(new, old)
                ]
            ),
            light=shelf.light if len(shelf.light.slots) != len(before.shelf.light.slots) else None,
            alerts=tuple([change.alert for change in step.changes]),
            outlooks=written,
            redating=redating,
        )
        untrusted = None if reading.trusted else reading.measured_at - timedelta(seconds=reading.boot_s)
        return Judged(minute, Memory(shelf, step.open_alerts, outlooks, untrusted), step.changes)

    def _alerts(self, before: Memory, shelf: Shelf, outlooks: tuple[Outlook, ...], reading: Reading) -> Step:
        at = reading.measured_at
        causes = condition_causes(shelf.states, at)
        if outlooks:
            causes += jar_causes(outlooks, before.alerts, at)
        if not causes and not before.alerts:
            return _NOTHING
        answers = self._notebook.answers(min(alert.raised_at for alert in before.alerts)) if before.alerts else ()
        return stepped(before.alerts, causes, answers, reading, self._quiet)

    def _send(self, judged: Judged) -> None:
        self._rig.signal.show(level_of(judged.memory.alerts))
        if self._on_minute is not None:
            self._on_minute(judged)


_NOTHING = Step((), ())


def level_of(alerts: tuple[Alert, ...]) -> str:
    """Return what the lamp shows: `act` while something needs a person, `watch` while it is known of, else `good`."""
    if any(alert.kind not in MUTE and alert.acknowledged_at is None for alert in alerts):
        return "act"
    return "watch" if alerts else "good"


def _worth_keeping(new: State, old: State) -> bool:
    """Whether a state must be kept for a restart: its last value alone is not, the readings have it."""
    return new.raised != old.raised or new.held_s != old.held_s or new.since_at != old.since_at or new.peak != old.peak


def _redating(memory: Memory, reading: Reading) -> Redating | None:
    """Return how earlier times of this boot move, if the clock has come right with this reading."""
    if not reading.trusted or memory.untrusted_boot_at is None:
        return None
    boot_at = reading.measured_at - timedelta(seconds=reading.boot_s)
    return Redating(reading.boot_id, boot_at, (boot_at - memory.untrusted_boot_at).total_seconds())


def _redated(memory: Memory, redating: Redating) -> Memory:
    """Move the times that memory holds of this boot."""
    shift = timedelta(seconds=redating.shift_s)
    states = tuple(
        replace(state, since_at=state.since_at + shift) if state.since_at else state for state in memory.shelf.states
    )
    alerts = tuple(_alert_redated(alert, redating.boot_id, shift) for alert in memory.alerts)
    return replace(memory, shelf=replace(memory.shelf, states=states), alerts=alerts)


def _alert_redated(alert: Alert, boot_id: str, shift: timedelta) -> Alert:
    if alert.trusted or alert.boot_id != boot_id:
        return alert
    return replace(
        alert,
        raised_at=alert.raised_at + shift,
        since_at=alert.since_at + shift,
        notified_at=alert.notified_at + shift if alert.notified_at else None,
        trusted=True,
    )
