"""What is shown of bottles: in the store, and one on its own page."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from dashboard.bottle_drawing import USUAL_FILL, BottlePicture, Lid, scale_of
from dashboard.views.jars import ACT, CALM, TODAY
from dashboard.views.manner import Manner
from station.domain.bottle_gas import pressure_if_closed
from station.domain.bottling import (
    Bottle,
    BottleEntry,
    Drawn,
    Emptied,
    Filled,
    LidClosed,
    Moved,
    PutBack,
    bottle_from,
    bottle_warnings,
    keep_until_at,
    loose_until_at,
    oldest_first,
)
from station.domain.feeding import Fed
from station.domain.jars import Jar
from station.domain.moments import date_text, day_text, moment_text
from station.domain.pressure import pressure_sentence
from station.domain.quantities import volume_text
from station.domain.storage import Storage

PLACE_CHOICES = tuple((str(storage), storage.words) for storage in Storage)


@dataclass(frozen=True, slots=True)
class BottleCard:
    """A bottle as it stands in the store.

    Args:
        id, plant: which bottle.
        left: what is left of it, in words.
        short: the same in one measure, for a slip of paper.
        keeps: where it stands and how long it keeps.
        lid: what is to be done about its lid, or "".
        mind: what should be seen to, as sentences.
        pressing: `calm`, `today` (loose lid) or `act`.
        in_store: whether there is something left.
        picture: what is drawn.
    """

    id: str
    plant: str
    left: str
    short: str
    keeps: str
    lid: str
    mind: tuple[str, ...]
    pressing: str
    in_store: bool
    picture: BottlePicture


@dataclass(frozen=True, slots=True)
class Store:
    """All bottles.

    Args:
        heading: how many and how much, in one sentence.
        stored: those with something left, the one to use first at the front.
        empty: the others, the latest first.
    """

    heading: str
    stored: tuple[BottleCard, ...]
    empty: tuple[BottleCard, ...]


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """What was done with a bottle, with its local time."""

    when: str
    text: str


@dataclass(frozen=True, slots=True)
class BottleView:
    """A bottle's own page.

    Args:
        card: as in the store.
        facts: names and values, in order.
        gas: what pressure a closed lid could bring, or "".
        jar_id: the jar it came from if the notebook knows it, else "".
        closed: whether the lid is closed.
        history: what was done with it, the latest first.
    """

    card: BottleCard
    facts: tuple[tuple[str, str], ...]
    gas: str
    jar_id: str
    closed: bool
    history: tuple[HistoryLine, ...]


def store_view(bottles: Iterable[Bottle], now_at: datetime, manner: Manner) -> Store:
    """Return the store.

    Args:
        bottles: all of them, in order of recording.
        now_at: when it is read.
        manner: zone, measures and keeping times.
    """
    known = tuple(bottles)
    stored = tuple(bottle_card(one, now_at, manner) for one in oldest_first(known, manner.keeping))
    empty = tuple(bottle_card(one, now_at, manner) for one in reversed(known) if not one.in_store)
    return Store(_heading(known, manner), stored, empty)


def _heading(bottles: tuple[Bottle, ...], manner: Manner) -> str:
    number = sum(one.in_store for one in bottles)
    if not number:
        return "No bottle in store"
    left = manner.volume(sum(one.left_ml for one in bottles))
    return f"{number} bottle{'' if number == 1 else 's'} in store: {left} of juice"


def bottle_card(bottle: Bottle, now_at: datetime, manner: Manner) -> BottleCard:
    """Return what the store shows of a bottle."""
    mind = bottle_warnings(bottle, now_at, manner.keeping) if bottle.in_store else ()
    lid = _lid(bottle, now_at, manner)
    return BottleCard(
        bottle.id,
        bottle.plant,
        f"{manner.volume(bottle.left_ml)} left" if bottle.in_store else "empty",
        f"{volume_text(bottle.left_ml, manner.measures)} left" if bottle.in_store else "empty",
        _keeps(bottle, manner) if bottle.in_store else "",
        lid,
        mind,
        ACT if mind else TODAY if lid else CALM,
        bottle.in_store,
        _picture(bottle, now_at, manner),
    )


def _keeps(bottle: Bottle, manner: Manner) -> str:
    return f"{bottle.storage.words}, keeps until {date_text(keep_until_at(bottle, manner.keeping), manner.zone)}"


def _lid(bottle: Bottle, now_at: datetime, manner: Manner) -> str:
    if not bottle.in_store or bottle.lid_closed_at is not None or now_at >= loose_until_at(bottle):
        return ""
    return f"Lid loose until {day_text(loose_until_at(bottle), manner.zone)}"


def _picture(bottle: Bottle, now_at: datetime, manner: Manner) -> BottlePicture:
    """Return what is drawn, rounded so that a picture serves for many requests."""
    holds_ml = bottle.bottle_ml or bottle.volume_ml / USUAL_FILL
    return BottlePicture(
        round(bottle.left_ml / holds_ml, 2),
        round(bottle.volume_ml / holds_ml, 2),
        Lid.LOOSE if bottle.lid_closed_at is None else Lid.CLOSED,
        scale_of(bottle.bottle_ml),
        now_at > keep_until_at(bottle, manner.keeping),
        volume_text(bottle.left_ml, manner.measures) if bottle.in_store else "",
    )


def bottle_view(
    entries: tuple[BottleEntry, ...],
    jar: Jar | None,
    feedings: Iterable[Fed],
    now_at: datetime,
    manner: Manner,
) -> BottleView:
    """Return a bottle's own page.

    Args:
        entries: everything that was recorded of it.
        jar: the one it came from, if the notebook knows it.
        feedings: all feedings; those that drew from it are named in its history.
        now_at: when it is read.
        manner: zone, measures and keeping times.
    """
    bottle = bottle_from(entries)
    pressure = pressure_if_closed(bottle, jar) if bottle.in_store else None
    given = {fed.feeding_id: fed for fed in feedings}
    told = sorted(entries, key=lambda one: (one.at, one.kind != "filled"), reverse=True)
    return BottleView(
        bottle_card(bottle, now_at, manner),
        tuple(_facts(bottle, manner)),
        "" if pressure is None else pressure_sentence(pressure),
        "" if jar is None else jar.id,
        bottle.lid_closed_at is not None,
        tuple(HistoryLine(moment_text(one.at, manner.zone), _told(one, given, manner)) for one in told),
    )


def _facts(bottle: Bottle, manner: Manner) -> list[tuple[str, str]]:
    facts = [("Filled", date_text(bottle.filled_at, manner.zone)), ("Juice then", manner.volume(bottle.volume_ml))]
    facts += [("The bottle holds", manner.volume(bottle.bottle_ml))] if bottle.bottle_ml else []
    facts += [("Taken out", manner.volume(bottle.drawn_ml))] if bottle.drawn_ml else []
    facts += [("Lid closed", date_text(bottle.lid_closed_at, manner.zone))] if bottle.lid_closed_at else []
    facts += [("Emptied", date_text(bottle.emptied_at, manner.zone))] if bottle.emptied_at else []
    return facts + ([("Note", bottle.note)] if bottle.note else [])


def _told(entry: BottleEntry, given: Mapping[str, Fed], manner: Manner) -> str:
    match entry:
        case Filled():
            return f"Filled with {manner.volume(entry.volume_ml)}, {entry.storage.words}"
        case Drawn():
            return ": ".join([f"{manner.volume(entry.volume_ml)} taken out", *_purpose(entry, given)])
        case PutBack():
            return f"Feeding {entry.feeding_id} taken back: its juice is in the bottle again"
        case Moved():
            return f"Now {entry.storage.words}"
        case LidClosed():
            return "Lid closed"
        case Emptied():
            return f"Emptied: {entry.reason}" if entry.reason else "Emptied"


def _purpose(drawn: Drawn, given: Mapping[str, Fed]) -> list[str]:
    """Return what juice was taken out for, as far as it was written down."""
    fed = given.get(drawn.feeding_id)
    said = (fed.method.value, fed.place) if fed else ()
    purpose = ", ".join(part for part in (*said, drawn.note) if part)
    return [purpose] if purpose else []
