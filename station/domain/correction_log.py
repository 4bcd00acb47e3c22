"""What is recorded of a sensor's corrections: made and removed, so that it is known what held when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from station.domain.corrections import Correction


@dataclass(frozen=True, slots=True)
class CorrectionMade:
    """From `at` on, this correction holds; it takes the place of an earlier one."""

    name: str
    at: datetime
    correction: Correction
    kind: Literal["made"] = "made"


@dataclass(frozen=True, slots=True)
class CorrectionRemoved:
    """From `at` on, none holds."""

    name: str
    at: datetime
    kind: Literal["removed"] = "removed"


CorrectionEntry = CorrectionMade | CorrectionRemoved


@dataclass(frozen=True, slots=True)
class Held:
    """A correction and when it held: the values of that time can be turned back into raw ones.

    Args:
        name: its id in the notebook.
        correction: what was done.
        since_at: from when on, aware UTC.
        until_at: until when; None while it still holds.
    """

    name: str
    correction: Correction
    since_at: datetime
    until_at: datetime | None = None


def held_from(entries: Sequence[CorrectionEntry]) -> tuple[Held, ...]:
    """Return every correction of one sensor's quantity and when it held, oldest first.

    Args:
        entries: what was recorded of it, in order.
    """
    ends = [*(entry.at for entry in entries[1:]), None]
    return tuple(
        Held(entry.name, entry.correction, entry.at, until_at)
        for entry, until_at in zip(entries, ends, strict=True)
        if isinstance(entry, CorrectionMade)
    )
