"""Bottles: juice in store, what is left of it, and how long it keeps."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal, TypeAlias

from station.domain.entries import in_order
from station.domain.quantities import both_volumes
from station.domain.storage import KEEPING, Keeping, Storage
from station.errors import NotebookError


@dataclass(frozen=True, slots=True)
class Filled:
    """A bottle was filled.

    Args:
        bottle_id: the bottle.
        at: aware UTC.
        jar_id: the jar the juice came from, or "" when it was not of this shelf.
        plant: what it is.
        volume_ml: juice in it, mL.
        bottle_ml: what the bottle holds to the brim, mL; None when not written down.
        storage: where it is kept.
        note: free text.
    """

    bottle_id: str
    at: datetime
    jar_id: str
    plant: str
    volume_ml: float
    bottle_ml: float | None = None
    storage: Storage = Storage.COOL
    note: str = ""
    kind: Literal["filled"] = "filled"


@dataclass(frozen=True, slots=True)
class Drawn:
    """Juice was taken out, mL; `feeding_id` names the feeding it went to, or is ""."""

    bottle_id: str
    at: datetime
    volume_ml: float
    feeding_id: str = ""
    note: str = ""
    kind: Literal["drawn"] = "drawn"


@dataclass(frozen=True, slots=True)
class PutBack:
    """The feeding was none, or was recorded wrong: what was drawn for it is in the bottle still."""

    bottle_id: str
    at: datetime
    feeding_id: str
    kind: Literal["put back"] = "put back"


@dataclass(frozen=True, slots=True)
class Moved:
    """The bottle now stands elsewhere."""

    bottle_id: str
    at: datetime
    storage: Storage
    kind: Literal["moved"] = "moved"


@dataclass(frozen=True, slots=True)
class LidClosed:
    """The lid was closed: it no longer works, as far as the grower can tell."""

    bottle_id: str
    at: datetime
    kind: Literal["lid closed"] = "lid closed"


@dataclass(frozen=True, slots=True)
class Emptied:
    """What was left is gone: used up without measuring, spilt or thrown away."""

    bottle_id: str
    at: datetime
    reason: str = ""
    kind: Literal["emptied"] = "emptied"


BottleEntry: TypeAlias = Filled | Drawn | PutBack | Moved | LidClosed | Emptied
"""One line of the notebook about a bottle."""

_RANKS = {"filled": 0, "drawn": 1, "put back": 1, "moved": 2, "lid closed": 3, "emptied": 4}


@dataclass(frozen=True, slots=True)
class Bottle:
    """A bottle as the notebook's entries tell it.

    Args:
        drawn_ml: all that was taken out by measure, mL.
        stays: where it stood since when, in order.
        lid_closed_at, emptied_at: when, or None.
    """

    id: str
    jar_id: str
    plant: str
    filled_at: datetime
    volume_ml: float
    bottle_ml: float | None = None
    note: str = ""
    drawn_ml: float = 0.0
    stays: tuple[tuple[datetime, Storage], ...] = ()
    lid_closed_at: datetime | None = None
    emptied_at: datetime | None = None
    empty_reason: str = ""

    @property
    def left_ml(self) -> float:
        """Juice left, mL, never below 0."""
        return 0.0 if self.emptied_at is not None else max(0.0, self.volume_ml - self.drawn_ml)

    @property
    def over_ml(self) -> float:
        """How much more was taken out than was written in, mL: the record is wrong by at least this."""
        return max(0.0, self.drawn_ml - self.volume_ml)

    @property
    def in_store(self) -> bool:
        """Whether there is something left."""
        return self.left_ml > 1e-6

    def has(self, volume_ml: float) -> bool:
        """Whether as much as this, mL, is left."""
        return volume_ml <= self.left_ml + 1e-6

    @property
    def storage(self) -> Storage:
        """Where it stands now."""
        return self.stays[-1][1]


def bottle_from(entries: Iterable[BottleEntry]) -> Bottle:
    """Return the bottle that its entries tell; their order does not matter.

    Raises:
        NotebookError: it was never filled, or filled twice.
    """
    told = tuple(entries)
    back = {one.feeding_id for one in told if isinstance(one, PutBack)}
    standing = [one for one in told if not (isinstance(one, Drawn) and one.feeding_id in back)]
    first, *rest = in_order(standing, _RANKS)
    if not isinstance(first, Filled):
        raise NotebookError(
            f"bottle {first.bottle_id} was never filled",
            "Record it first: jarside bottle fill.",
            "Record it first, under Bottles.",
        )
    bottle = Bottle(first.bottle_id, first.jar_id, first.plant, first.at, first.volume_ml, first.bottle_ml, first.note)
    bottle = replace(bottle, stays=((first.at, first.storage),))
    for entry in rest:
        bottle = _told(bottle, entry)
    return bottle


def _told(bottle: Bottle, entry: BottleEntry) -> Bottle:
    match entry:
        case Drawn():
            return replace(bottle, drawn_ml=bottle.drawn_ml + entry.volume_ml)
        case PutBack():
            return bottle
        case Moved():
            return replace(bottle, stays=(*bottle.stays, (entry.at, entry.storage)))
        case LidClosed():
            return replace(bottle, lid_closed_at=entry.at)
        case Emptied():
            return replace(bottle, emptied_at=entry.at, empty_reason=entry.reason)
        case Filled():
            raise NotebookError(f"bottle {bottle.id} was filled twice", "Give the second bottle a name of its own.")


def check_filled(filled: Filled) -> Filled:
    """Return a filling unchanged if it can be.

    Raises:
        NotebookError: an amount is not above 0, or more went in than the bottle holds.
    """
    for amount_ml in (filled.volume_ml, filled.bottle_ml):
        if amount_ml is not None and not 0.0 < amount_ml < 1e9:
            raise NotebookError(f"a bottle with {amount_ml:g} mL", "Give an amount above 0.")
    if filled.bottle_ml is not None and filled.volume_ml > filled.bottle_ml:
        raise NotebookError(
            f"{both_volumes(filled.volume_ml)} in a bottle of {both_volumes(filled.bottle_ml)}",
            "Check the amounts; leave a third empty.",
        )
    return filled


def check_bottle_entry(bottle: Bottle, entry: BottleEntry, *, anyway: bool = False) -> None:
    """Refuse an entry that does not fit the bottle.

    Args:
        bottle: as it is now.
        entry: what is to be recorded.
        anyway: whether more may be drawn than is left; the record then says so.

    Raises:
        NotebookError: before the filling, from an empty bottle, or more than is left.
    """
    if entry.at < bottle.filled_at:
        raise NotebookError(
            (f"bottle {bottle.id} cannot be {entry.kind} at ", entry.at, ": it was filled at ", bottle.filled_at),
            "Check the time.",
        )
    if bottle.emptied_at is not None:
        raise NotebookError(
            f"bottle {bottle.id} is empty",
            "See what is in store: jarside bottle list.",
            "See what is in store: Bottles.",
        )
    if isinstance(entry, Drawn) and not anyway and not bottle.has(entry.volume_ml):
        raise NotebookError(
            f"bottle {bottle.id} has {both_volumes(bottle.left_ml)} left, "
            f"and {both_volumes(entry.volume_ml)} are wanted",
            "Take less or another bottle; --anyway records it all the same.",
            "Take less or another bottle.",
        )


HEAD_SPACE = 1.0 / 3.0
LOOSE_DAYS = 14.0
"""A third of the bottle empty, the lid loose for two weeks: natural-farming teaching texts."""
FILLING = "Leave a third of each bottle empty and the lid loose for two weeks."


def head_space(bottle: Bottle) -> float | None:
    """Return the empty share of the bottle as filled, 0 to 1, or None when its size is not known."""
    return None if bottle.bottle_ml is None else 1.0 - bottle.volume_ml / bottle.bottle_ml


def loose_until_at(bottle: Bottle) -> datetime:
    """Return until when the lid should stay loose."""
    return bottle.filled_at + timedelta(days=LOOSE_DAYS)


def bottle_warnings(bottle: Bottle, now_at: datetime, keeping: Keeping = KEEPING) -> tuple[str, ...]:
    """Return what should be seen to at a bottle, as sentences; of an empty one only that its record is wrong."""
    over = _over_text(bottle)
    return (*(_store_warnings(bottle, now_at, keeping) if bottle.in_store else ()), *([over] if over else []))


def _over_text(bottle: Bottle) -> str:
    if bottle.over_ml <= 1e-6:
        return ""
    return f"{both_volumes(bottle.over_ml)} more were taken out than were written in."


def _store_warnings(bottle: Bottle, now_at: datetime, keeping: Keeping) -> tuple[str, ...]:
    found = []
    space = head_space(bottle)
    if space is not None and space < HEAD_SPACE - 0.02:
        found.append(f"Only {max(space, 0.0):.0%} of the bottle is empty: leave a third, and the lid loose.")
    closed_at = bottle.lid_closed_at
    if closed_at is not None and closed_at < loose_until_at(bottle):
        found.append("The lid was closed within two weeks of filling: loosen it and let the gas out.")
    if now_at > keep_until_at(bottle, keeping):
        found.append("Past its keeping time: smell it before use, and discard it if it is foul or mouldy.")
    return tuple(found)


def keep_until_at(bottle: Bottle, keeping: Keeping = KEEPING) -> datetime:
    """Return how long a bottle keeps: each stay uses up its part of the time that its place allows.

    Thirty days at room temperature or a year in the cool; fifteen days in the room leave half a year in the cool.
    """
    life, at = 1.0, bottle.filled_at
    for (since_at, storage), (until_at, _) in zip(bottle.stays, bottle.stays[1:], strict=False):
        used = (until_at - since_at) / keeping.span(storage)
        if used >= life:
            return since_at + keeping.span(storage) * life
        life, at = life - used, until_at
    return at + keeping.span(bottle.storage) * life


def oldest_first(bottles: Iterable[Bottle], keeping: Keeping = KEEPING) -> tuple[Bottle, ...]:
    """Return the bottles in store in the order in which to use them: soonest out of its keeping time first."""
    stored = (bottle for bottle in bottles if bottle.in_store)
    return tuple(sorted(stored, key=lambda one: (keep_until_at(one, keeping), one.filled_at, one.id)))
