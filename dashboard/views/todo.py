"""What needs doing, in order: at the jars, seeds in juice, rounds, dishes of a trial; each one tap from its form."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import quote

from dashboard.views.feeding import soaking
from dashboard.views.jars import asked_sign, collectable_at, days_old, stage_of
from dashboard.views.manner import Manner
from dashboard.views.words import place_in_path
from station.domain.feeding import Fed, SoakState, soak_from
from station.domain.figures import counted
from station.domain.jars import Jar, Stage
from station.domain.moments import clock_text, seen_from
from station.domain.note_advice import must_discard
from station.domain.outlook import Outlook
from station.domain.rounds import Round, Standing, due, due_text
from station.domain.trials import Trial
from station.domain.unmeasured import calendar_text

LOOK_FROM_DAYS, LOOK_UNTIL_DAYS = 0.15, 1.5
"""First juice comes within hours (common practice): when somebody should look for it."""

COUNT_FOR = timedelta(days=14)
"""A trial that nobody counts any more is not asked for after so long."""


class Urgency(enum.IntEnum):
    """How soon something is to be done, the most urgent first."""

    NOW = 0
    TODAY = 1
    TOMORROW = 2
    LATER = 3


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do, and the page on which it is written down."""

    urgency: Urgency
    text: str
    href: str


def todos(
    jars: Iterable[tuple[Jar, Outlook | None]],
    now_at: datetime,
    manner: Manner,
    rounds: Iterable[Round] = (),
    trials: Iterable[Trial] = (),
    feedings: Iterable[Fed] = (),
) -> tuple[Todo, ...]:
    """Return what needs doing, the most urgent first; of equal urgency jars, then soaks, then rounds, then trials.

    Args:
        jars: those on the shelf or draining, each with what the station thinks of it.
        now_at: when it is read.
        manner: zone and evenings.
        rounds, trials, feedings: all of them.
    """
    found = [
        *(_todo(jar, outlook, now_at, manner) for jar, outlook in jars),
        *(_take_out(fed, now_at, manner) for fed in feedings if soaking(fed, now_at)),
        *(_feed(one, now_at, manner) for one in rounds),
        *(_count(trial, now_at, manner) for trial in trials),
    ]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.urgency))


def _take_out(fed: Fed, now_at: datetime, manner: Manner) -> Todo | None:
    """Ask for seeds that may come out of the juice, and urgently for those that have been in too long."""
    soak, seeds = soak_from(fed.at), fed.place or "seeds"
    match soak.state(now_at):
        case SoakState.READY:
            latest = seen_from(soak.latest_at, now_at, manner.zone)
            return Todo(Urgency.TODAY, f"Take the {seeds} out of the juice by {latest}.", "/feeding")
        case SoakState.OVER:
            return Todo(Urgency.NOW, f"Take the {seeds} out of the juice: they have been in for too long.", "/feeding")
    return None


def _feed(one: Round, now_at: datetime, manner: Manner) -> Todo | None:
    today = now_at.astimezone(manner.zone).date()
    found = due(one, today, manner.zone)
    if found.standing not in (Standing.DUE, Standing.LATE):
        return None
    urgency = Urgency.TODAY if today >= found.until_on else Urgency.LATER
    text = due_text(found, one)
    return Todo(urgency, f"{text[:1].upper()}{text[1:]}.", f"/feeding/give?round={quote(one.id)}")


def _count(trial: Trial, now_at: datetime, manner: Manner) -> Todo | None:
    """Ask for a day's count of a running trial, from the day after its sowing."""
    last_at = max((count.at for count in trial.counts), default=trial.sown_at)
    counted = last_at.astimezone(manner.zone).date() >= now_at.astimezone(manner.zone).date()
    if trial.ended_at is not None or counted or now_at - last_at > COUNT_FOR:
        return None
    return Todo(
        Urgency.LATER, f"Count the seedlings that are up: {trial.seeds}.", place_in_path("/trials", trial.id, "count")
    )


def _form(jar: Jar, what: str) -> str:
    return place_in_path("/jars", jar.id, what)


def _todo(jar: Jar, outlook: Outlook | None, now_at: datetime, manner: Manner) -> Todo | None:
    stands = stage_of(jar, outlook, now_at)
    if stands is Stage.DRAINING and jar.strained_at is not None:
        return _collect(jar, jar.strained_at, now_at, manner)
    if not jar.on_shelf:
        return None
    if discard := must_discard(jar):
        return Todo(Urgency.NOW, f"Discard the whole jar of {jar.plant}. {discard[0].text}", _form(jar, "discard"))
    if stands is Stage.PAST_READY:
        return Todo(Urgency.TODAY, f"Strain {jar.plant} today: it is past ready.", _form(jar, "strain"))
    strain = _strain(jar, stands, outlook, now_at, manner)
    return strain or _by_calendar(jar, outlook, now_at) or _look(jar, outlook, now_at)


def _collect(jar: Jar, strained_at: datetime, now_at: datetime, manner: Manner) -> Todo:
    collect_at = collectable_at(jar, strained_at, manner)
    if now_at >= collect_at:
        return Todo(
            Urgency.NOW,
            f"Collect the juice of {jar.plant} and bottle it: lid loose, a third empty.",
            _form(jar, "bottle"),
        )
    when = seen_from(collect_at, now_at, manner.zone)
    return Todo(Urgency.LATER, f"Let {jar.plant} drip until {when}. No squeezing.", place_in_path("/jars", jar.id))


def _strain(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime, manner: Manner) -> Todo | None:
    evening_at = jar.due_at or (outlook.evening_at if outlook else None)
    form = _form(jar, "strain")
    if evening_at is None:
        ready = stands is Stage.READY
        return Todo(Urgency.TODAY, f"Strain {jar.plant} this evening: it is ready.", form) if ready else None
    days = (evening_at.astimezone(manner.zone).date() - now_at.astimezone(manner.zone).date()).days
    clock = clock_text(evening_at, manner.zone)
    if days == 1:
        text = f"Tomorrow at {clock}: strain {jar.plant}. Have a clean cloth, a bowl and bottles ready."
        return Todo(Urgency.TOMORROW, text, place_in_path("/jars", jar.id))
    if days > 1:
        return None
    if jar.due_at is not None:
        return Todo(
            Urgency.TODAY,
            f"Strain {jar.plant} today: it has stood {counted(jar.packing.stand_days or 0.0, 'day')}.",
            form,
        )
    return Todo(Urgency.TODAY, f"Strain {jar.plant} this evening at {clock}; let it drip overnight.", form)


def _by_calendar(jar: Jar, outlook: Outlook | None, now_at: datetime) -> Todo | None:
    """Ask for a look at a jar whose warmth is not known: else nobody would think of it again."""
    text = calendar_text(jar, outlook, now_at)
    return Todo(Urgency.TODAY, text, place_in_path("/jars", jar.id)) if text else None


def _look(jar: Jar, outlook: Outlook | None, now_at: datetime) -> Todo | None:
    """Ask for the first signs once they are due, and for a first look before."""
    if sign := asked_sign(jar, outlook, now_at):
        return Todo(Urgency.LATER, f"{jar.plant.capitalize()}: {sign.text}", place_in_path("/jars", jar.id))
    if jar.notes or not LOOK_FROM_DAYS <= days_old(jar, now_at) <= LOOK_UNTIL_DAYS:
        return None
    text = f"Look into {jar.plant}: the first juice shows within hours. Note what you see."
    return Todo(Urgency.LATER, text, _form(jar, "note"))
