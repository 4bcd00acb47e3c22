"""A jar, from packing to straining: what was recorded of it, and the stage it is in."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal, TypeAlias

from station.domain.entries import in_order
from station.domain.observations import NOT_LOOKED, Seen
from station.domain.packing import PLAINLY, Cover, Packing
from station.errors import NotebookError


class Stage(enum.StrEnum):
    """Where a jar stands."""

    WORKING = "working"
    READY = "ready"
    PAST_READY = "past ready"
    DRAINING = "draining"
    BOTTLED = "bottled"
    DISCARDED = "discarded"


class Judgement(enum.StrEnum):
    """What the grower thought of the jar when straining it."""

    RIGHT = "right"
    TOO_EARLY = "too early"
    TOO_LATE = "too late"


@dataclass(frozen=True, slots=True)
class Packed:
    """The jar was packed: plant and sugar went in, weights in grams, the jar's volume in mL; `packing` says how."""

    jar_id: str
    at: datetime
    plant: str
    jar_ml: float
    plant_g: float | None = None
    sugar_g: float | None = None
    probe: str = ""
    packing: Packing = PLAINLY
    kind: Literal["packed"] = "packed"


@dataclass(frozen=True, slots=True)
class Corrected:
    """What was written down of the packing was wrong in this; None is what was right. The jar keeps its id."""

    jar_id: str
    at: datetime
    plant: str | None = None
    jar_ml: float | None = None
    plant_g: float | None = None
    sugar_g: float | None = None
    kind: Literal["corrected"] = "corrected"


@dataclass(frozen=True, slots=True)
class Noted:
    """Something was seen, smelled, thought or put right; `photos` are paths, `cover` is what closes it from then on."""

    jar_id: str
    at: datetime
    text: str
    seen: Seen = NOT_LOOKED
    photos: tuple[str, ...] = ()
    cover: Cover | None = None
    kind: Literal["noted"] = "noted"


@dataclass(frozen=True, slots=True)
class NoteTakenBack:
    """The note of `note_at` was a slip: neither what it saw nor the cover it told counts any more."""

    jar_id: str
    at: datetime
    note_at: datetime
    kind: Literal["note taken back"] = "note taken back"


@dataclass(frozen=True, slots=True)
class Strained:
    """The jar was tipped into the strainer; it drains from now on."""

    jar_id: str
    at: datetime
    kind: Literal["strained"] = "strained"


@dataclass(frozen=True, slots=True)
class Judged:
    """The grower's judgement of the straining time; None withdraws an earlier one."""

    jar_id: str
    at: datetime
    judgement: Judgement | None
    kind: Literal["judged"] = "judged"


@dataclass(frozen=True, slots=True)
class Bottled:
    """The juice was collected, in mL."""

    jar_id: str
    at: datetime
    volume_ml: float | None = None
    kind: Literal["bottled"] = "bottled"


@dataclass(frozen=True, slots=True)
class Discarded:
    """The whole jar was thrown away."""

    jar_id: str
    at: datetime
    reason: str = ""
    kind: Literal["discarded"] = "discarded"


Entry: TypeAlias = Packed | Corrected | Noted | NoteTakenBack | Strained | Judged | Bottled | Discarded
"""One line of the notebook about a jar."""

_RANKS = {
    "packed": 0,
    "corrected": 1,
    "noted": 1,
    "note taken back": 1,
    "strained": 2,
    "judged": 3,
    "bottled": 4,
    "discarded": 5,
}


@dataclass(frozen=True, slots=True)
class Jar:
    """A jar as the notebook's entries tell it; its `packing` has the cover that closes it now."""

    id: str
    plant: str
    packed_at: datetime
    jar_ml: float
    plant_g: float | None = None
    sugar_g: float | None = None
    probe: str = ""
    packing: Packing = PLAINLY
    notes: tuple[Noted, ...] = ()
    strained_at: datetime | None = None
    judgement: Judgement | None = None
    bottled_at: datetime | None = None
    juice_ml: float | None = None
    discarded_at: datetime | None = None
    discard_reason: str = ""
    judged_at: datetime | None = None

    @property
    def on_shelf(self) -> bool:
        """Whether it still stands and works: neither strained nor discarded."""
        return self.strained_at is None and self.discarded_at is None

    @property
    def off_shelf_at(self) -> datetime | None:
        """When it left the shelf, or None."""
        if self.strained_at is None or self.discarded_at is None:
            return self.strained_at or self.discarded_at
        return min(self.strained_at, self.discarded_at)

    @property
    def covered_at(self) -> datetime:
        """Since when what closes it now has done so."""
        return max((note.at for note in self.notes if note.cover is not None), default=self.packed_at)

    @property
    def due_at(self) -> datetime | None:
        """When it has stood its days; None for a jar that goes by warmth."""
        days = self.packing.stand_days
        return None if days is None else self.packed_at + timedelta(days=days)


def stage(jar: Jar, chance_ready: float, chance_past: float) -> Stage:
    """Return the jar's stage.

    Args:
        jar: the jar.
        chance_ready: probability, 0 to 1, that its warmth has reached its need.
        chance_past: probability that it is past its best.
    """
    if jar.discarded_at is not None:
        return Stage.DISCARDED
    if jar.bottled_at is not None:
        return Stage.BOTTLED
    if jar.strained_at is not None:
        return Stage.DRAINING
    if chance_past >= 0.5:
        return Stage.PAST_READY
    return Stage.READY if chance_ready >= 0.5 else Stage.WORKING


def jar_from(entries: Iterable[Entry]) -> Jar:
    """Return the jar that its entries tell; their order does not matter.

    Raises:
        NotebookError: there is no packing among them.
    """
    first, *rest = in_order(_standing(entries), _RANKS)
    if not isinstance(first, Packed):
        raise NotebookError(
            f"jar {first.jar_id} was never packed",
            "Record the packing first: jarside jar pack.",
            "Record the packing first, under Jars.",
        )
    jar = Jar(
        first.jar_id, first.plant, first.at, first.jar_ml, first.plant_g, first.sugar_g, first.probe, first.packing
    )
    for entry in rest:
        jar = _told(jar, entry)
    return jar


def _standing(entries: Iterable[Entry]) -> list[Entry]:
    """Return the entries without the notes that were taken back."""
    told = tuple(entries)
    gone = {one.note_at for one in told if isinstance(one, NoteTakenBack)}
    return [one for one in told if not (isinstance(one, Noted) and one.at in gone)]


def _told(jar: Jar, entry: Entry) -> Jar:
    match entry:
        case Noted():
            packing = jar.packing if entry.cover is None else replace(jar.packing, cover=entry.cover)
            return replace(jar, notes=(*jar.notes, entry), packing=packing)
        case Strained():
            return replace(jar, strained_at=entry.at)
        case Judged():
            judged_at = None if entry.judgement is None else entry.at
            return replace(jar, judgement=entry.judgement, judged_at=judged_at)
        case Bottled():
            return replace(jar, bottled_at=entry.at, juice_ml=entry.volume_ml)
        case Discarded():
            return replace(jar, discarded_at=entry.at, discard_reason=entry.reason)
        case NoteTakenBack():
            return jar
        case Corrected():
            return _corrected(jar, entry)
        case Packed():
            raise NotebookError(f"jar {jar.id} was packed twice", "Give the second jar a name of its own.")


def _corrected(jar: Jar, entry: Corrected) -> Jar:
    return replace(
        jar,
        plant=entry.plant or jar.plant,
        jar_ml=entry.jar_ml or jar.jar_ml,
        plant_g=entry.plant_g or jar.plant_g,
        sugar_g=entry.sugar_g or jar.sugar_g,
    )
