"""What the first page shows: the verdict, the shelf with its jars, what needs doing, and open alerts."""

import enum
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboard.present import Present
from dashboard.shelf_drawing import Daylight, daylight_at, daylight_by_clock
from dashboard.views.alerts import AlertLine, alert_lines, answered
from dashboard.views.jars import JarCard, jar_card
from dashboard.views.manner import Manner
from dashboard.views.todo import Todo, Urgency, todos
from dashboard.views.tomorrow import picking_text, sun_text
from station.domain.alert import Alert
from station.domain.coming_sun import ComingSun
from station.domain.conditions import Kind, State
from station.domain.feeding import Fed
from station.domain.figures import light_text, rh_text, temp_text
from station.domain.heartbeat import has_stopped
from station.domain.jars import Jar
from station.domain.moments import age_text
from station.domain.readings import Mark, Reading
from station.domain.rounds import Round
from station.domain.sentences import not_writing, verdict
from station.domain.sun import sun_position
from station.domain.trials import Trial
from station.ports import Answer

DRAINING_SHOWN = timedelta(days=7)
"""A strained jar that nobody bottled stays on the page for this long."""


class Level(enum.StrEnum):
    """How the shelf is, in one word: the colour of the lamp."""

    GOOD = "good"
    WATCH = "watch"
    ACT = "act"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class Measured:
    """The latest reading in words; a quantity that was not measured is "–"."""

    temp: str
    rh: str
    light: str
    age: str
    trusted: bool

    @property
    def nothing(self) -> bool:
        """Whether no quantity was measured."""
        return self.temp == self.rh == self.light == "–"


@dataclass(frozen=True, slots=True)
class ShelfView:
    """The first page.

    Args:
        verdict, level: how the shelf is, as a sentence and as a word.
        measured: the latest reading, or None before the first.
        daylight, day_part: the light outside, and how much of the day (or night) has passed, 0 to 1.
        sunlit: whether direct sun falls on the shelf.
        jars: what stands there, the longest first.
        todos: what needs doing, the most urgent first.
        alerts: open alerts about the shelf; those about jars are among the todos.
        picking, sun: when to pick next, and when the sun comes tomorrow; "" where that is not known.
        of_jars: how many open alerts there are about jars, in words; "" for none.
    """

    verdict: str
    level: Level
    measured: Measured | None
    daylight: Daylight
    day_part: float
    sunlit: bool
    jars: tuple[JarCard, ...]
    todos: tuple[Todo, ...]
    alerts: tuple[AlertLine, ...]
    picking: str = ""
    sun: str = ""
    of_jars: str = ""

    @property
    def pressing(self) -> str:
        """How much there is to do today, for a screen on which it stands below the jars; "" for nothing."""
        count = sum(todo.urgency <= Urgency.TODAY for todo in self.todos)
        return f"{count} {'thing' if count == 1 else 'things'} to do today" if count else ""

    @property
    def amiss(self) -> str:
        """How many alerts about the shelf are open, for the same screen; "" for none."""
        count = len(self.alerts)
        return f"{count} open {'alert' if count == 1 else 'alerts'}" if count else ""


@dataclass(frozen=True, slots=True)
class Doings:
    """What is recorded beside jars: rounds, trials, answers to alerts, feedings; and what is known of the sun."""

    rounds: tuple[Round, ...] = ()
    trials: tuple[Trial, ...] = ()
    sun: ComingSun | None = None
    answers: tuple[Answer, ...] = ()
    feedings: tuple[Fed, ...] = ()


NOTHING_ELSE = Doings()


def shelf_view(
    present: Present, jars: tuple[Jar, ...], now_at: datetime, manner: Manner, doings: Doings = NOTHING_ELSE
) -> ShelfView:
    """Return the first page.

    Args:
        present: the latest reading, conditions, open alerts, and what the station thinks of the jars.
        jars: those on the shelf or draining.
        now_at: when the page is read.
        manner: zone, units, place and evenings.
        doings: what else may be due.
    """
    reading = present.reading
    sentence, level = shelf_verdict(reading, present.conditions, now_at, manner)
    daylight, day_part = _daylight(now_at, manner)
    known = [(jar, present.outlooks.get(jar.id)) for jar in jars]
    known.sort(key=lambda one: (one[0].packed_at, one[0].id))
    return ShelfView(
        sentence,
        level,
        None if reading is None else _measured(reading, now_at, manner),
        daylight,
        day_part,
        reading is not None and level is not Level.OFF and bool(reading.marks & Mark.SUNLIT),
        tuple([jar_card(jar, outlook, now_at, manner) for jar, outlook in known]),
        todos(known, now_at, manner, doings.rounds, doings.trials, doings.feedings),
        alert_lines(answered(_of_shelf(present), doings.answers), {}, now_at, manner),
        picking_text(now_at, manner),
        sun_text(doings.sun, now_at, manner),
        _of_jars(present),
    )


def _of_jars(present: Present) -> str:
    count = sum(bool(alert.jar_id) for alert in present.alerts)
    return f"{count} about {'a jar' if count == 1 else 'jars'}" if count else ""


def _of_shelf(present: Present) -> list[Alert]:
    return [alert for alert in present.alerts if not alert.jar_id]


def shelf_verdict(
    reading: Reading | None, conditions: tuple[State, ...], now_at: datetime, manner: Manner
) -> tuple[str, Level]:
    """Return how the shelf is: a sentence and a level; `off` when the station does not write."""
    if reading is None:
        return verdict((), None, manner.unit, manner.zone), Level.OFF
    if has_stopped(reading.measured_at, now_at):
        return not_writing(reading.measured_at, now_at, manner.zone), Level.OFF
    sentence = verdict(conditions, reading, manner.unit, manner.zone, manner.limits)
    if any(state.raised and state.kind is not Kind.BRIGHT for state in conditions):
        return sentence, Level.ACT
    watch = any(state.raised or (state.held_s > 0.0 and state.kind is not Kind.SILENT) for state in conditions)
    return sentence, Level.WATCH if watch else Level.GOOD


def still_shown(jar: Jar, now_at: datetime) -> bool:
    """Whether a jar is on the first page: it stands there, or it drains."""
    if jar.discarded_at is not None or jar.bottled_at is not None or jar.packed_at > now_at:
        return False
    return jar.strained_at is None or now_at - jar.strained_at < DRAINING_SHOWN


def _measured(reading: Reading, now_at: datetime, manner: Manner) -> Measured:
    return Measured(
        "–" if reading.temp_c is None else temp_text(reading.temp_c, manner.unit),
        "–" if reading.rh_pct is None else rh_text(reading.rh_pct),
        "–" if reading.light_lx is None else light_text(reading.light_lx),
        age_text(now_at - reading.measured_at),
        reading.trusted,
    )


def _daylight(now_at: datetime, manner: Manner) -> tuple[Daylight, float]:
    """Return the light outside, and the part of the day or night that has passed, rounded for the picture."""
    local = now_at.astimezone(manner.zone)
    hour = local.hour + local.minute / 60.0
    if manner.place is None:
        daylight = daylight_by_clock(hour)
    else:
        sun = sun_position(manner.place, now_at)
        daylight = daylight_at(sun.elevation_deg, sun.azimuth_deg)
    part = ((hour - 20.0) % 24.0) / 10.0 if daylight is Daylight.NIGHT else (hour - 6.0) / 14.0
    return daylight, round(min(max(part, 0.05), 0.95), 1)
