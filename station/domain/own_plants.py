"""The grower's own plants, as the notebook's entries tell them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, TypeAlias

from station.domain.plants import Plant


@dataclass(frozen=True, slots=True)
class PlantAdded:
    """The grower added a plant, or changed it: the latest counts."""

    name: str
    at: datetime
    details: Plant
    kind: Literal["added"] = "added"


@dataclass(frozen=True, slots=True)
class PlantDropped:
    """The grower no longer wants the plant listed."""

    name: str
    at: datetime
    kind: Literal["dropped"] = "dropped"


PlantEntry: TypeAlias = PlantAdded | PlantDropped
"""One line of the notebook about a plant."""


def own_plant_from(entries: Iterable[PlantEntry]) -> Plant | None:
    """Return the plant that its entries tell, whatever their order; None when it was dropped."""
    last = max(entries, key=lambda one: (one.at, one.kind, repr(one)))
    return last.details if isinstance(last, PlantAdded) else None
