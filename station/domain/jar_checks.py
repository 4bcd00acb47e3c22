"""What may be recorded of a jar: an entry that its stage, its time or its amounts do not allow is refused."""

import math
from datetime import datetime

from station.domain.jars import (
    Bottled,
    Corrected,
    Discarded,
    Entry,
    Jar,
    Judged,
    Noted,
    NoteTakenBack,
    Packed,
    Strained,
    stage,
)
from station.domain.packing import PLAINLY
from station.errors import NotebookError

MOST_DAYS = 3650
"""Nothing stands longer than ten years; and much longer, and its last day is in no calendar."""


def check_entry(jar: Jar, entry: Entry) -> None:
    """Refuse an entry that the jar's stage does not allow.

    Raises:
        NotebookError: it comes before the packing or the straining, the jar has gone past the stage it belongs to,
            there is no such note to take back, or a blend is to be another plant.
    """
    _check_after(jar, entry, jar.packed_at, "packed")
    if isinstance(entry, Bottled) and jar.strained_at is not None:
        _check_after(jar, entry, jar.strained_at, "strained")
    if isinstance(entry, NoteTakenBack) and entry.note_at not in (note.at for note in jar.notes):
        raise NotebookError(
            (f"jar {jar.id} has no note of ", entry.note_at),
            f"See its notes: jarside jar show {jar.id}.",
            "See its notes, on its page.",
        )
    if isinstance(entry, Corrected) and jar.packing.blend and (entry.plant or entry.plant_g):
        raise NotebookError(f"jar {jar.id} holds a blend, whose plants have weights of their own", "Note it instead.")
    if not _allowed(jar, entry):
        raise NotebookError(
            f"jar {jar.id} is {stage(jar, 0.0, 0.0)} and cannot be {entry.kind}",
            *_instead(jar, entry),
        )


def _allowed(jar: Jar, entry: Entry) -> bool:
    """Whether the jar has not gone past the stage that an entry belongs to, and has come as far as it."""
    match entry:
        case Noted() | Corrected() | NoteTakenBack():
            return True
        case Strained():
            return jar.on_shelf
        case Judged():
            return jar.strained_at is not None
        case Bottled():
            return jar.strained_at is not None and jar.bottled_at is None and jar.discarded_at is None
        case Discarded():
            return jar.bottled_at is None and jar.discarded_at is None
        case Packed():
            return False


def check_amounts(entry: Entry) -> None:
    """Refuse an entry about a jar with a name or an amount that cannot be.

    Raises:
        NotebookError: the plant has no name, or an amount is not above 0.
    """
    if isinstance(entry, Packed | Corrected) and entry.plant is not None and not entry.plant.strip():
        raise NotebookError(f"jar {entry.jar_id}: the plant is empty", "Name it.")
    packing = entry.packing if isinstance(entry, Packed) else PLAINLY
    parts: list[tuple[str, float | None]] = [("blend", share.plant_g) for share in packing.blend]
    parts += [(name, getattr(entry, name, None)) for name in ("jar_ml", "plant_g", "sugar_g", "volume_ml")]
    for name, amount in (*parts, ("cap_g", packing.cap_g), ("days", packing.days)):
        if amount is not None and not (amount > 0.0 and math.isfinite(amount)):
            raise NotebookError(f"jar {entry.jar_id}: {name} is {amount:g}", "Give an amount above 0.")
    if packing.days is not None and packing.days > MOST_DAYS:
        raise NotebookError(f"jar {entry.jar_id} is to stand {packing.days:g} days", f"Give at most {MOST_DAYS} days.")


def _instead(jar: Jar, entry: Entry) -> tuple[str, str]:
    """What to do in place of an entry that the jar's stage does not allow: from the shell, and on the pages."""
    if isinstance(entry, Bottled | Judged) and jar.on_shelf:
        return f"Record the straining first: jarside jar strain {jar.id}.", "Record the straining first, on its page."
    if isinstance(entry, Bottled) and jar.bottled_at is not None:
        return (
            f"Record more bottles of it with: jarside bottle fill {jar.id} 200mL.",
            "Record more bottles of it under Bottles.",
        )
    return f"See what is recorded: jarside jar show {jar.id}.", "See what is recorded, on its page."


def _check_after(jar: Jar, entry: Entry, before_at: datetime, before: str) -> None:
    if entry.at < before_at:
        raise NotebookError(
            (f"jar {jar.id} cannot be {entry.kind} at ", entry.at, f": it was {before} at ", before_at),
            "Check the time.",
        )
