"""What is shown of a jar on the shelf and in the list."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboard.jar_drawing import JarPicture
from dashboard.views.manner import Manner
from station.domain.day_parts import part_seen_from
from station.domain.figures import counted, number_text
from station.domain.jars import Jar, Stage, stage
from station.domain.moments import clock_text, moment_text, range_text, seen_from
from station.domain.note_advice import must_discard
from station.domain.outlook import Outlook
from station.domain.preparations import Preparation
from station.domain.signs import Question, question
from station.domain.unmeasured import calendar_text, nothing_measured, warmth_of_parts

CALM, TODAY, ACT = "calm", "today", "act"
"""How pressing a jar is."""
EVENING_FROM_H = 16
"""The local hour from which a day's end is called evening."""


@dataclass(frozen=True, slots=True)
class JarCard:
    """A jar as it stands on the shelf.

    Args:
        id, plant: which jar.
        stage: where it stands.
        day: in words, such as "day 4, working".
        warmth: in words, such as "2.9 of about 5.5 warm-days".
        evening: what happens when, such as "Strain Thu 14 May 19:00".
        ready: when it is expected to be ready, as a range.
        pressing: `calm`, `today` or `act`.
        picture: what is drawn.
    """

    id: str
    plant: str
    stage: Stage
    day: str
    warmth: str
    evening: str
    ready: str
    pressing: str
    picture: JarPicture


def jar_card(jar: Jar, outlook: Outlook | None, now_at: datetime, manner: Manner) -> JarCard:
    """Return what the shelf shows of a jar.

    Args:
        jar: as the notebook tells it.
        outlook: what the station thinks of it; None before its first minute with it.
        now_at: when it is read.
        manner: zone, units and evenings.
    """
    stands = stage_of(jar, outlook, now_at)
    evening, pressing = _evening(jar, stands, outlook, now_at, manner)
    return JarCard(
        jar.id,
        jar.plant,
        stands,
        _day(jar, stands, now_at, manner),
        _warmth(jar, outlook, now_at),
        evening,
        _ready(jar, stands, outlook, now_at, manner),
        pressing,
        _picture(jar, stands, outlook, now_at),
    )


def stage_of(jar: Jar, outlook: Outlook | None, now_at: datetime) -> Stage:
    """Return where a jar stands now: what was recorded comes before what the station thinks."""
    if jar.due_at is not None:
        return stage(jar, 1.0 if now_at >= jar.due_at else 0.0, 0.0)
    return stage(jar, outlook.chance_ready if outlook else 0.0, outlook.chance_past if outlook else 0.0)


def days_old(jar: Jar, now_at: datetime) -> float:
    """Return a jar's days on the shelf so far, 0 or more."""
    return max(((jar.off_shelf_at or now_at) - jar.packed_at) / timedelta(days=1), 0.0)


def expects_signs(jar: Jar) -> bool:
    """Whether first signs are to be expected of a jar: a ferment that works, and has not gone bad."""
    return jar.on_shelf and jar.packing.preparation is Preparation.FERMENT and not must_discard(jar)


def asked_sign(jar: Jar, outlook: Outlook | None, now_at: datetime) -> Question | None:
    """Return which first sign the grower is to be asked for now, or None."""
    temp_c = outlook.heat.temp_c if outlook else None
    return question(jar.packed_at, temp_c, jar.notes, now_at) if expects_signs(jar) else None


def _day(jar: Jar, stands: Stage, now_at: datetime, manner: Manner) -> str:
    if stands is Stage.DRAINING and jar.strained_at is not None:
        return f"draining since {seen_from(jar.strained_at, now_at, manner.zone)}"
    if not jar.on_shelf:
        return str(stands)
    return f"day {int(days_old(jar, now_at)) + 1}, {stands}"


def _warmth(jar: Jar, outlook: Outlook | None, now_at: datetime) -> str:
    if jar.packing.stand_days is not None:
        return f"{number_text(days_old(jar, now_at), 1)} of {counted(jar.packing.stand_days, 'day')}"
    if outlook is None:
        return "its warmth is not counted yet"
    if (parts := warmth_of_parts(jar, outlook, now_at)) is not None:
        return parts
    had, need = outlook.warm_days, outlook.need_likely
    return f"{number_text(had, 1)} of about {number_text(need, 1)} warm-days"


def _evening(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime, manner: Manner) -> tuple[str, str]:
    """Return what happens to the jar when, and how pressing that is."""
    if stands is Stage.DRAINING and jar.strained_at is not None:
        collect_at = collectable_at(jar, jar.strained_at, manner)
        over = now_at >= collect_at
        return ("Collect the juice now", ACT) if over else (f"Collect {moment_text(collect_at, manner.zone)}", CALM)
    if not jar.on_shelf:
        return "", CALM
    if must_discard(jar):
        return "Discard it", ACT
    if jar.due_at is not None:
        return ("Strain it now", TODAY) if stands is Stage.READY else (_strain(jar.due_at, now_at, manner), CALM)
    if stands is Stage.PAST_READY:
        return "Strain it today", ACT
    evening_at = outlook.evening_at if outlook else None
    if evening_at is None:
        return ("Strain it this evening", TODAY) if stands is Stage.READY else _no_evening(jar, outlook, now_at)
    today = _local_days(now_at, evening_at, manner) <= 0
    return _strain(evening_at, now_at, manner), TODAY if today else CALM


def _no_evening(jar: Jar, outlook: Outlook | None, now_at: datetime) -> tuple[str, str]:
    if calendar_text(jar, outlook, now_at):
        return "Look at it yourself", TODAY
    unknown = outlook is not None and nothing_measured(outlook.heat)
    return "No evening can be told" if unknown else "No evening yet", CALM


def collectable_at(jar: Jar, strained_at: datetime, manner: Manner) -> datetime:
    """Return when the juice may be collected: a ferment drips overnight, what goes by days runs through at once."""
    drips = jar.packing.preparation is Preparation.FERMENT
    return manner.collect_at(strained_at) if drips else strained_at


def _local_days(now_at: datetime, at: datetime, manner: Manner) -> int:
    return (at.astimezone(manner.zone).date() - now_at.astimezone(manner.zone).date()).days


def _strain(at: datetime, now_at: datetime, manner: Manner) -> str:
    days = _local_days(now_at, at, manner)
    if days <= 0:
        evening = at.astimezone(manner.zone).hour >= EVENING_FROM_H
        return f"Strain {'this evening' if evening else 'today'}, {clock_text(at, manner.zone)}"
    if days == 1:
        return f"Strain tomorrow, {clock_text(at, manner.zone)}"
    return f"Strain {moment_text(at, manner.zone)}"


def _ready(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime, manner: Manner) -> str:
    if not jar.on_shelf or jar.due_at is not None or outlook is None:
        return ""
    if outlook.ready_since_at is not None and stands in (Stage.READY, Stage.PAST_READY):
        return f"ready since {part_seen_from(outlook.ready_since_at, now_at, manner.zone)}"
    if nothing_measured(outlook.heat):
        return ""
    return f"ready {range_text(outlook.ready_early_at, outlook.ready_likely_at, outlook.ready_late_at, manner.zone)}"


def _picture(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime) -> JarPicture:
    """Return what is drawn, rounded so that a picture serves for many requests."""
    tag = f"day {int(days_old(jar, now_at)) + 1}" if jar.on_shelf else ""
    if (days := jar.packing.stand_days) is not None:
        return JarPicture(jar.id, jar.plant, stands, round(days_old(jar, now_at) / days, 2), 1.0, 1.1, days, tag)
    if outlook is None:
        return JarPicture(jar.id, jar.plant, stands, 0.0, 0.8, 1.2, 5.0, tag)
    level = None if nothing_measured(outlook.heat) else round(outlook.warm_days / outlook.need_likely, 2)
    need = outlook.need_likely
    return JarPicture(
        jar.id,
        jar.plant,
        stands,
        level,
        round(outlook.need_low / need, 2),
        round(outlook.need_high / need, 2),
        round(need, 1),
        tag,
    )
