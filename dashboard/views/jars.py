"""What is shown of a jar: on the shelf, in the list, and on its own page."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboard.charts import Chart
from dashboard.jar_drawing import JarPicture
from dashboard.views.courses import Stretch, spells_of, temperature_chart
from dashboard.views.manner import Manner
from station.domain.alert import Alert
from station.domain.jars import Jar, Noted, Stage, stage
from station.domain.observations import must_discard
from station.domain.outlook import Outlook
from station.domain.sentences import clock_text, day_text, moment_text, number_text, range_text, seen_from, temp_text
from station.store.summaries import Bucket

CALM, TODAY, ACT = "calm", "today", "act"
"""How pressing a jar is."""


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


@dataclass(frozen=True, slots=True)
class NoteLine:
    """A note with its local time, and what was seen in words."""

    when: str
    text: str
    seen: str


@dataclass(frozen=True, slots=True)
class JarView:
    """A jar's own page.

    Args:
        card: as on the shelf.
        warnings: why it must be discarded, or nothing.
        facts: names and values, in order.
        caveats: what limits the trust in its dates.
        chart: the shelf's temperature through its days, or None while nothing was measured.
        notes: what was seen, the newest first.
    """

    card: JarCard
    warnings: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    caveats: tuple[str, ...]
    chart: Chart | None
    notes: tuple[NoteLine, ...]


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


def _day(jar: Jar, stands: Stage, now_at: datetime, manner: Manner) -> str:
    if stands is Stage.DRAINING and jar.strained_at is not None:
        return f"draining since {seen_from(jar.strained_at, now_at, manner.zone)}"
    if not jar.on_shelf:
        return str(stands)
    return f"day {int(days_old(jar, now_at)) + 1}, {stands}"


def _warmth(jar: Jar, outlook: Outlook | None, now_at: datetime) -> str:
    if jar.packing.stand_days is not None:
        return f"{number_text(days_old(jar, now_at), 1)} of {jar.packing.stand_days:g} days"
    if outlook is None:
        return "its warmth is not counted yet"
    had, need = outlook.heat.warmth.warm_days(), outlook.need_likely
    return f"{number_text(had, 1)} of about {number_text(need, 1)} warm-days"


def _evening(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime, manner: Manner) -> tuple[str, str]:
    """Return what happens to the jar when, and how pressing that is."""
    if stands is Stage.DRAINING and jar.strained_at is not None:
        collect_at = manner.collect_at(jar.strained_at)
        over = now_at >= collect_at
        return ("Collect the juice now", ACT) if over else (f"Collect {moment_text(collect_at, manner.zone)}", CALM)
    if not jar.on_shelf:
        return "", CALM
    if must_discard(jar.notes, jar.packing.preparation):
        return "Discard it", ACT
    if jar.due_at is not None:
        return ("Strain it now", TODAY) if stands is Stage.READY else (_strain(jar.due_at, now_at, manner), CALM)
    if stands is Stage.PAST_READY:
        return "Strain it today", ACT
    evening_at = outlook.evening_at if outlook else None
    if evening_at is None:
        return ("Strain it this evening", TODAY) if stands is Stage.READY else ("No evening yet", CALM)
    today = _local_days(now_at, evening_at, manner) <= 0
    return _strain(evening_at, now_at, manner), TODAY if today else CALM


def _local_days(now_at: datetime, at: datetime, manner: Manner) -> int:
    return (at.astimezone(manner.zone).date() - now_at.astimezone(manner.zone).date()).days


def _strain(at: datetime, now_at: datetime, manner: Manner) -> str:
    days = _local_days(now_at, at, manner)
    if days <= 0:
        return f"Strain this evening, {clock_text(at, manner.zone)}"
    if days == 1:
        return f"Strain tomorrow, {clock_text(at, manner.zone)}"
    return f"Strain {moment_text(at, manner.zone)}"


def _ready(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime, manner: Manner) -> str:
    if not jar.on_shelf or jar.due_at is not None or outlook is None:
        return ""
    if outlook.ready_at is not None and stands in (Stage.READY, Stage.PAST_READY):
        return f"ready since {seen_from(outlook.ready_at, now_at, manner.zone)}"
    return f"ready {range_text(outlook.ready_early_at, outlook.ready_likely_at, outlook.ready_late_at, manner.zone)}"


def _picture(jar: Jar, stands: Stage, outlook: Outlook | None, now_at: datetime) -> JarPicture:
    """Return what is drawn, rounded so that a picture serves for many requests."""
    tag = f"day {int(days_old(jar, now_at)) + 1}" if jar.on_shelf else ""
    if (days := jar.packing.stand_days) is not None:
        return JarPicture(jar.id, jar.plant, stands, round(days_old(jar, now_at) / days, 2), 1.0, 1.1, days, tag)
    if outlook is None:
        return JarPicture(jar.id, jar.plant, stands, 0.0, 0.8, 1.2, 5.0, tag)
    need = outlook.need_likely
    return JarPicture(
        jar.id,
        jar.plant,
        stands,
        round(outlook.heat.warmth.warm_days() / need, 2),
        round(outlook.need_low / need, 2),
        round(outlook.need_high / need, 2),
        round(need, 1),
        tag,
    )


def jar_view(
    jar: Jar,
    outlook: Outlook | None,
    buckets: tuple[Bucket, ...],
    alerts: tuple[Alert, ...],
    now_at: datetime,
    manner: Manner,
) -> JarView:
    """Return a jar's own page.

    Args:
        jar, outlook, now_at, manner: as for `jar_card`.
        buckets: the shelf's course over the jar's days.
        alerts: those of the shelf in that time.
    """
    until_at = jar.off_shelf_at or now_at
    measured = any(bucket.temp_c for bucket in buckets) and until_at > jar.packed_at
    stretch = Stretch(jar.packed_at, until_at, buckets, spells_of(alerts, now_at))
    return JarView(
        jar_card(jar, outlook, now_at, manner),
        tuple(one.text for one in must_discard(jar.notes, jar.packing.preparation)),
        tuple(_facts(jar, outlook, manner)),
        outlook.caveats if outlook and jar.on_shelf else (),
        temperature_chart(stretch, manner) if measured else None,
        tuple(_note(note, now_at, manner) for note in reversed(jar.notes)),
    )


def _facts(jar: Jar, outlook: Outlook | None, manner: Manner) -> list[tuple[str, str]]:
    facts = [("Packed", moment_text(jar.packed_at, manner.zone)), ("Jar", f"{number_text(jar.jar_ml)} mL")]
    facts += [("Plant", f"{number_text(jar.plant_g)} g")] if jar.plant_g else []
    facts += [("Sugar", f"{number_text(jar.sugar_g)} g")] if jar.sugar_g else []
    facts += _heat_facts(outlook, manner) if outlook and jar.due_at is None else []
    facts += [("Strained", moment_text(jar.strained_at, manner.zone))] if jar.strained_at else []
    facts += [("Judged", str(jar.judgement))] if jar.judgement else []
    facts += [("Bottled", moment_text(jar.bottled_at, manner.zone))] if jar.bottled_at else []
    facts += [("Juice", f"{number_text(jar.juice_ml)} mL")] if jar.juice_ml else []
    facts += [("Discarded", moment_text(jar.discarded_at, manner.zone))] if jar.discarded_at else []
    return facts + ([("Why", jar.discard_reason)] if jar.discard_reason else [])


def _heat_facts(outlook: Outlook, manner: Manner) -> list[tuple[str, str]]:
    warmth = outlook.heat.warmth
    need = f"{number_text(outlook.need_low, 1)} to {number_text(outlook.need_high, 1)} warm-days"
    facts = [("Likely to need", f"{need}, about {number_text(outlook.need_likely, 1)}")]
    if outlook.heat.temp_c is not None:
        facts.append(("Jar's own temperature", temp_text(outlook.heat.temp_c, manner.unit)))
    facts.append(("Measured", f"{number_text(warmth.observed_h)} h"))
    if warmth.missing_h >= 0.5:
        facts.append(("Not measured", f"{number_text(warmth.missing_h)} h: the dates are less certain"))
    return facts


def _note(note: Noted, now_at: datetime, manner: Manner) -> NoteLine:
    looks = {
        "juice": note.seen.juice,
        "smell": note.seen.smell,
        "bubbles": note.seen.bubbles,
        "surface": note.seen.surface,
    }
    seen = ", ".join(f"{name} {look}" for name, look in looks.items() if look is not None)
    when = f"{day_text(note.at, manner.zone)} {clock_text(note.at, manner.zone)}"
    return NoteLine(when, note.text, seen)
