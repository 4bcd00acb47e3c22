"""Bottles as programs read and record them: volumes in mL, pressure above the outside air in bar."""

from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field

from dashboard.api.asking import Millilitres, Sent, ShortName, Time, Words, Yes
from dashboard.api.models import Model
from station.domain.bottle_gas import pressure_if_closed
from station.domain.bottling import (
    Bottle,
    BottleEntry,
    Drawn,
    Emptied,
    Filled,
    Moved,
    PutBack,
    bottle_warnings,
    keep_until_at,
    loose_until_at,
)
from station.domain.jars import Jar
from station.domain.storage import Keeping, Storage


class PressureOut(Model):
    """What closing it tightly would build up, above the outside air."""

    settled_bar: float = Field(description="Once it has settled, bar.")
    most_bar: float = Field(description="At most, bar.")


class BottleOut(Model):
    """One bottle."""

    id: str
    jar: str | None
    plant: str
    filled_at: datetime
    volume_ml: float = Field(description="Juice filled in, mL.")
    bottle_ml: float | None = Field(description="What it holds to the brim, mL.")
    left_ml: float = Field(description="Juice left, mL.")
    over_ml: float = Field(description="How much more was taken out than was written in, mL.")
    in_store: bool
    storage: Storage
    keep_until_at: datetime
    loose_until_at: datetime = Field(description="Until when the lid stays loose.")
    lid_closed_at: datetime | None
    emptied_at: datetime | None
    empty_reason: str
    pressure_if_closed: PressureOut | None
    warnings: list[str]
    note: str

    @classmethod
    def of(cls, bottle: Bottle, jar: Jar | None, now_at: datetime, keeping: Keeping) -> "BottleOut":
        """Return a bottle as it is answered; `jar` is where it came from, if that is known."""
        pressure = pressure_if_closed(bottle, jar)
        return cls(
            id=bottle.id,
            jar=bottle.jar_id or None,
            plant=bottle.plant,
            filled_at=bottle.filled_at,
            volume_ml=bottle.volume_ml,
            bottle_ml=bottle.bottle_ml,
            left_ml=bottle.left_ml,
            over_ml=bottle.over_ml,
            in_store=bottle.in_store,
            storage=bottle.storage,
            keep_until_at=keep_until_at(bottle, keeping),
            loose_until_at=loose_until_at(bottle),
            lid_closed_at=bottle.lid_closed_at,
            emptied_at=bottle.emptied_at,
            empty_reason=bottle.empty_reason,
            pressure_if_closed=None
            if pressure is None
            else PressureOut(settled_bar=pressure.settled_bar, most_bar=pressure.most_bar),
            warnings=list(bottle_warnings(bottle, now_at, keeping)) if bottle.in_store else [],
            note=bottle.note,
        )


class HappenedOut(Model):
    """One thing that happened to a bottle; null is what does not belong to it."""

    what: Literal["filled", "drawn", "put back", "moved", "lid closed", "emptied"]
    at: datetime
    volume_ml: float | None = Field(description="Filled in or taken out, mL.")
    storage: Storage | None = Field(description="Where it stands from then on.")
    feeding: str | None = Field(description="The feeding for which it was drawn, or that was taken back.")
    note: str = Field(description="What was said of it.")

    @classmethod
    def of(cls, entry: BottleEntry) -> "HappenedOut":
        """Return an entry as it is answered."""
        return cls(
            what=entry.kind,
            at=entry.at,
            volume_ml=entry.volume_ml if isinstance(entry, Filled | Drawn) else None,
            storage=entry.storage if isinstance(entry, Filled | Moved) else None,
            feeding=(entry.feeding_id or None) if isinstance(entry, Drawn | PutBack) else None,
            note=_said(entry),
        )


def _said(entry: BottleEntry) -> str:
    match entry:
        case Filled() | Drawn():
            return entry.note
        case Emptied():
            return entry.reason
    return ""


class FilledIn(Sent):
    """A bottle that came from no jar of this shelf, or from one that was collected before."""

    plant: ShortName
    at: Time | None = Field(None, description="When; now if left out.")
    volume_ml: Millilitres = Field(description="Juice in it, mL.")
    bottle_ml: Millilitres | None = Field(None, description="What it holds to the brim, mL; a third should stay empty.")
    storage: Storage = Field(Storage.COOL, description="Where it is kept.")
    note: Words = ""


class DrawIn(Sent):
    """Juice was taken out, other than for a feeding."""

    what: Literal["drawn"]
    at: Time | None = Field(None, description="When; now if left out.")
    volume_ml: Millilitres = Field(description="How much, mL.")
    note: Words = ""
    anyway: Yes = Field(False, description="Record it even if more is taken than is left.")


class MoveIn(Sent):
    """It stands elsewhere now."""

    what: Literal["moved"]
    at: Time | None = Field(None, description="When; now if left out.")
    storage: Storage


class CloseIn(Sent):
    """Its lid was closed."""

    what: Literal["lid closed"]
    at: Time | None = Field(None, description="When; now if left out.")


class EmptyIn(Sent):
    """What was left is gone."""

    what: Literal["emptied"]
    at: Time | None = Field(None, description="When; now if left out.")
    reason: Words = ""


HappenedIn = Annotated[DrawIn | MoveIn | CloseIn | EmptyIn, Field(discriminator="what")]
"""What happened to a bottle."""
