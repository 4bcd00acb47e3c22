"""What follows from the notes of a jar: what to do about the latest, and whether the whole jar must go."""

from station.domain.jars import Jar, Noted
from station.domain.observations import NOT_LOOKED, Act, Advice, advice


def advice_on(jar: Jar, note: Noted) -> tuple[Advice, ...]:
    """Return what follows from a note; nothing when nothing was looked at."""
    if note.seen == NOT_LOOKED:
        return ()
    age_h = (note.at - jar.packed_at).total_seconds() / 3600.0
    return advice(note.seen, age_h, jar.packing.preparation)


def advice_after(jar: Jar, note: Noted) -> tuple[Advice, ...]:
    """Return what follows from a note and from those beside it: where another calls for a discard, it still does."""
    said = advice_on(jar, note)
    if any(one.act is Act.DISCARD for one in said):
        return said
    grave = must_discard(jar)
    return tuple(Advice(one.act, f"An earlier note still counts. {one.text}") for one in grave[:1]) or said


def must_discard(jar: Jar) -> tuple[Advice, ...]:
    """Return why a jar must be discarded, from all looks at it; empty when nothing says so. Mould does not heal."""
    return tuple(dict.fromkeys(one for note in jar.notes for one in advice_on(jar, note) if one.act is Act.DISCARD))


def grave_notes(jar: Jar) -> tuple[Noted, ...]:
    """Return the notes that call for a discard, in order of time: what to take back if it was a slip."""
    return tuple(note for note in jar.notes if any(one.act is Act.DISCARD for one in advice_on(jar, note)))
