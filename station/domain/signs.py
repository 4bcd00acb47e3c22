"""First signs: when a jar should show its first juice and its first bubbles, and a gentle question if nobody said."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from station.domain.jars import Jar
from station.domain.observations import Bubbles, Juice, Seen
from station.domain.warmth import relative_rate

JUICE_H = 12.0
"""At 20 °C. Sugar draws the first juice within hours (common practice)."""
BUBBLES_H = 48.0
"""At 20 °C. It works visibly from the second or third day on (common practice)."""
PACE_BOUNDS = (0.5, 1.5)
"""Sugar draws juice in the cold as well, if slowly, and no jar is twice as quick for being warm."""
ASK_FOR = timedelta(days=2)
"""After so long the question has gone stale."""


class Sign(enum.StrEnum):
    """What a jar shows first."""

    JUICE = "juice"
    BUBBLES = "bubbles"


_QUESTIONS = {
    Sign.JUICE: "By now juice should be showing: is it?",
    Sign.BUBBLES: "By now it should be bubbling a little: is it?",
}
_HOURS = {Sign.JUICE: JUICE_H, Sign.BUBBLES: BUBBLES_H}


class Look(Protocol):
    """Anything that carries what was seen of a jar, and when; such as a note."""

    @property
    def at(self) -> datetime:
        """When."""
        ...

    @property
    def seen(self) -> Seen:
        """What."""
        ...


@dataclass(frozen=True, slots=True)
class Question:
    """Something to ask the grower, since when it is due, and in which words."""

    sign: Sign
    due_at: datetime
    text: str


def first_juice_due_at(packed_at: datetime, temp_c: float | None) -> datetime:
    """Return by when the first juice should show: half a day at 20 °C, a whole one at most.

    Args:
        packed_at: when the jar was packed.
        temp_c: the temperature it stands at, °C; None if unknown, which counts as 20.

    Source: common practice.
    """
    return _due_at(Sign.JUICE, packed_at, temp_c)


def _due_at(sign: Sign, packed_at: datetime, temp_c: float | None) -> datetime:
    least, most = PACE_BOUNDS
    pace = 1.0 if temp_c is None else min(max(relative_rate(temp_c), least), most)
    return packed_at + timedelta(hours=_HOURS[sign] / pace)


def question(packed_at: datetime, temp_c: float | None, looks: Iterable[Look], now_at: datetime) -> Question | None:
    """Return what to ask about a working jar now, the latest sign first; None when there is nothing to ask.

    A sign that was seen is not asked for, nor is an earlier one; neither is one that was answered since it was due.

    Args:
        packed_at: when the jar was packed.
        temp_c: the temperature it stands at, °C, or None.
        looks: the looks at it so far, in any order.
        now_at: the present.
    """
    known = list(looks)
    for sign in (Sign.BUBBLES, Sign.JUICE):
        if any(_showed(sign, look.seen) for look in known):
            return None
        due_at = _due_at(sign, packed_at, temp_c)
        answered = any(look.at >= due_at and _looked(sign, look.seen) for look in known)
        if not answered and due_at <= now_at < due_at + ASK_FOR:
            return Question(sign, due_at, _QUESTIONS[sign])
    return None


@dataclass(frozen=True, slots=True)
class FirstSigns:
    """What a working jar should show first.

    Args:
        juice_due_at: by when the first juice should show; None once it was seen, or nobody need look for it any more.
        question: what to ask now, or None.
    """

    juice_due_at: datetime | None
    question: Question | None


def first_signs(jar: Jar, temp_c: float | None, now_at: datetime) -> FirstSigns | None:
    """Return what to look for in a jar and what to ask; None for one off the shelf or one that goes by days.

    Args:
        jar: the jar, with its notes.
        temp_c: the temperature it stands at, °C; None if unknown.
        now_at: the present.
    """
    if not jar.on_shelf or jar.due_at is not None:
        return None
    seen = any(_showed(Sign.JUICE, note.seen) or _showed(Sign.BUBBLES, note.seen) for note in jar.notes)
    due_at = first_juice_due_at(jar.packed_at, temp_c)
    waited_for = not seen and now_at < due_at + ASK_FOR
    return FirstSigns(due_at if waited_for else None, question(jar.packed_at, temp_c, jar.notes, now_at))


def _looked(sign: Sign, seen: Seen) -> bool:
    return (seen.juice if sign is Sign.JUICE else seen.bubbles) is not None


def _showed(sign: Sign, seen: Seen) -> bool:
    if sign is Sign.JUICE:
        return seen.juice in (Juice.SOME, Juice.COVERING)
    return seen.bubbles in (Bubbles.FEW, Bubbles.MANY)
