"""What a jar's own page shows."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from dashboard.charts import Chart
from dashboard.views.courses import Stretch, spells_of, temperature_chart
from dashboard.views.jar_facts import jar_facts
from dashboard.views.jars import JarCard, asked_sign, expects_signs, jar_card
from dashboard.views.manner import Manner
from dashboard.views.warmth import DayRow, course_of, day_rows, warmth_chart
from dashboard.views.words import place_in_path
from station.domain.alert import Alert
from station.domain.blends import plants_in
from station.domain.bottling import Bottle
from station.domain.cautions import Step, cautions_for, packing_cautions
from station.domain.collecting import juice_warning
from station.domain.day_parts import part_seen_from
from station.domain.jars import Jar, Noted, Stage
from station.domain.moments import clock_text, day_text
from station.domain.note_advice import advice_after, must_discard
from station.domain.observations import Act as ActOfNote
from station.domain.observations import Juice
from station.domain.outlook import Outlook
from station.domain.packing import Cover, checklist, packing_warnings
from station.domain.plants import Plant
from station.domain.signs import Question, first_juice_due_at
from station.domain.unmeasured import calendar_text
from station.domain.warmth_course import WarmthPoint
from station.store.summaries import Bucket

CHECKLIST_OPEN_H = 24.0
"""For so long after packing the checklist stands open."""


@dataclass(frozen=True, slots=True)
class NoteLine:
    """A note: its local time, what was seen in words, what follows from it, where its photos are; `at` is exact."""

    when: str
    text: str
    seen: str
    advice: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()
    at: str = ""


@dataclass(frozen=True, slots=True)
class Act:
    """Something a person may do now; `look` is "main", "plain" or "grave"."""

    label: str
    href: str
    look: str = "plain"


@dataclass(frozen=True, slots=True)
class Told:
    """What the files say about a jar.

    Args:
        jar, outlook: the jar and what the station thinks of it, or None.
        buckets, alerts: the shelf's course and alerts over its days.
        bottles: those filled from it.
        own: the grower's own plants.
        belief: what is believed of its plant, in words; may be empty.
    """

    jar: Jar
    outlook: Outlook | None
    buckets: tuple[Bucket, ...] = ()
    alerts: tuple[Alert, ...] = ()
    bottles: tuple[Bottle, ...] = ()
    own: tuple[Plant, ...] = ()
    belief: str = ""


@dataclass(frozen=True, slots=True)
class JarView:
    """A jar's own page.

    Args:
        card: as on the shelf.
        on_shelf: whether it still stands there, so that its charts grow.
        warnings: why it must be discarded, and what is wrong with its packing or its record.
        tight: whether its lid is to be loosened.
        sign: what to ask the grower now, or None.
        expecting: what is to be seen first, and by when; where its warmth is not known, that it is to be looked at;
            may be empty.
        acts: what may be done now, the likeliest first.
        facts: names and values, in order.
        belief: what its need rests on.
        caveats: what limits the trust in its dates.
        warmth: its warmth against its need, or None where it goes by days or nothing was measured.
        chart: the shelf's temperature through its days, or None while nothing was measured.
        days: the same as a table.
        notes: what was seen, the newest first.
        bottles: what was filled from it: id and what is left.
        checklist: what to see to while packing.
        fresh: whether it was packed within a day, so that the checklist is wanted.
        cautions: of the step it stands at.
    """

    card: JarCard
    on_shelf: bool
    warnings: tuple[str, ...]
    tight: bool
    sign: Question | None
    expecting: str
    acts: tuple[Act, ...]
    facts: tuple[tuple[str, str], ...]
    belief: str
    caveats: tuple[str, ...]
    warmth: Chart | None
    chart: Chart | None
    days: tuple[DayRow, ...]
    notes: tuple[NoteLine, ...]
    bottles: tuple[tuple[str, str], ...]
    checklist: tuple[str, ...]
    fresh: bool
    cautions: tuple[str, ...]


def jar_view(told: Told, now_at: datetime, manner: Manner) -> JarView:
    """Return a jar's own page.

    Args:
        told: what the files say about it.
        now_at: when it is read.
        manner: zone, units and evenings.
    """
    jar, outlook = told.jar, told.outlook
    card = jar_card(jar, outlook, now_at, manner)
    points = course_of(jar, outlook, told.buckets, now_at)
    by_warmth = outlook is not None and jar.due_at is None
    return JarView(
        card=card,
        on_shelf=jar.on_shelf,
        warnings=_warnings(jar),
        tight=jar.on_shelf and jar.packing.cover is Cover.TIGHT_LID,
        sign=asked_sign(jar, outlook, now_at),
        expecting=_expecting(jar, outlook, now_at, manner),
        acts=(*_acts(jar, card.stage), *_to_bottles(told.bottles)),
        facts=tuple(jar_facts(jar, outlook, manner)),
        belief=told.belief if by_warmth and jar.on_shelf else "",
        caveats=outlook.caveats if outlook and jar.on_shelf else (),
        warmth=_warmth_chart(told, points, now_at, manner),
        chart=_shelf_chart(told, now_at, manner),
        days=day_rows(told.buckets, points, manner),
        notes=tuple(_note(jar, note, card.stage, manner) for note in reversed(jar.notes)),
        bottles=tuple((bottle.id, f"{manner.volume(bottle.left_ml)} left") for bottle in told.bottles),
        checklist=checklist(jar.packing.preparation),
        fresh=(now_at - jar.packed_at).total_seconds() < CHECKLIST_OPEN_H * 3600.0 and jar.on_shelf,
        cautions=_cautions(told, card.stage),
    )


def _warnings(jar: Jar) -> tuple[str, ...]:
    if not jar.on_shelf:
        return tuple(text for text in (juice_warning(jar),) if text)
    grave = tuple(one.text for one in must_discard(jar))
    return grave or packing_warnings(jar.packing, jar.jar_ml, jar.plant_g, jar.sugar_g)


def _expecting(jar: Jar, outlook: Outlook | None, now_at: datetime, manner: Manner) -> str:
    if not expects_signs(jar):
        return ""
    if by_calendar := calendar_text(jar, outlook, now_at):
        return by_calendar
    due_at = first_juice_due_at(jar.packed_at, outlook.heat.temp_c if outlook else None)
    seen = any(note.seen.juice in (Juice.SOME, Juice.COVERING) for note in jar.notes)
    if seen or now_at >= due_at:
        return ""
    return f"First juice expected by {part_seen_from(due_at, now_at, manner.zone)}."


def _acts(jar: Jar, stands: Stage) -> Iterator[Act]:
    """Yield what may be done, the likeliest first."""

    def to(what: str) -> str:
        return f"{place_in_path('/jars', jar.id)}/{what}"

    spoilt = jar.on_shelf and bool(must_discard(jar))
    if spoilt:
        yield Act("Discard it", to("discard"), "grave")
    if stands is Stage.DRAINING:
        yield Act("Collect the juice", to("bottle"), "main")
    if stands in (Stage.READY, Stage.PAST_READY) and not spoilt:
        yield Act("Strain it", to("strain"), "main")
    if stands is Stage.BOTTLED and jar.judgement is None:
        yield Act("Was it the right time?", to("judge"), "main")
    yield Act("Note what you see", to("note"), "main" if stands is Stage.WORKING and not spoilt else "plain")
    if jar.on_shelf and (stands is Stage.WORKING or spoilt):
        yield Act("Strain it", to("strain"))
    if jar.strained_at is not None and (stands is not Stage.BOTTLED or jar.judgement is not None):
        yield Act("Judge the time", to("judge"))
    if stands is not Stage.DISCARDED:
        yield Act("Label", to("label"))
    if jar.bottled_at is None and jar.discarded_at is None and not spoilt:
        yield Act("Discard it", to("discard"))


def _to_bottles(bottles: tuple[Bottle, ...]) -> Iterator[Act]:
    """Yield the way to what was filled from the jar."""
    if len(bottles) > 1:
        yield Act("Its bottles", "/bottles")
    elif bottles:
        yield Act("Its bottle", place_in_path("/bottles", bottles[0].id))


def _warmth_chart(told: Told, points: tuple[WarmthPoint, ...], now_at: datetime, manner: Manner) -> Chart | None:
    """Return the curve of its warmth; None where it goes by days, or nothing was measured or judged yet."""
    if told.outlook is None or told.jar.due_at is not None or not points[1:]:
        return None
    return warmth_chart(told.jar, told.outlook, points, told.buckets[0].span_s, now_at, manner)


def _shelf_chart(told: Told, now_at: datetime, manner: Manner) -> Chart | None:
    jar = told.jar
    until_at = jar.off_shelf_at or now_at
    if until_at <= jar.packed_at or not any(bucket.temp_c for bucket in told.buckets):
        return None
    stretch = Stretch(jar.packed_at, until_at, told.buckets, spells_of(told.alerts, now_at))
    return temperature_chart(stretch, manner)


def _cautions(told: Told, stands: Stage) -> tuple[str, ...]:
    plants = plants_in(told.jar.plant, told.own)
    step = {Stage.DRAINING: Step.STRAIN, Stage.BOTTLED: Step.BOTTLE}.get(stands)
    if step is not None:
        return cautions_for(step)
    of_packing = packing_cautions(told.jar.packing.preparation, plants)
    return tuple(dict.fromkeys((*cautions_for(Step.WAIT), *of_packing)))


def _note(jar: Jar, note: Noted, stands: Stage, manner: Manner) -> NoteLine:
    looks = {
        "juice": note.seen.juice,
        "smell": note.seen.smell,
        "bubbles": note.seen.bubbles,
        "surface": note.seen.surface,
        "cover": note.cover,
    }
    seen = ", ".join(f"{name} {look}" for name, look in looks.items() if look is not None)
    when = f"{day_text(note.at, manner.zone)} {clock_text(note.at, manner.zone)}"
    return NoteLine(when, note.text, seen, tuple(_advice(jar, note, stands)), note.photos, note.at.isoformat())


def _advice(jar: Jar, note: Noted, stands: Stage) -> Iterator[str]:
    """Yield what follows from a note while the jar stands there; that all is well, only while it works."""
    for one in advice_after(jar, note) if jar.on_shelf else ():
        if one.act is not ActOfNote.NOTHING or stands is Stage.WORKING:
            yield one.text
