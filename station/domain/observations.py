"""What the grower sees and smells at a jar, and what follows from it."""

import enum
from dataclasses import dataclass

from station.domain.preparations import Preparation


class Juice(enum.StrEnum):
    """How much juice stands in the jar."""

    NONE = "none"
    SOME = "some"
    COVERING = "covering"


class Smell(enum.StrEnum):
    """What the jar smells of."""

    GREEN = "green"
    SWEET = "sweet"
    YEASTY = "yeasty"
    SOUR = "sour"
    FOUL = "foul"


class Bubbles(enum.StrEnum):
    """How much it bubbles."""

    NONE = "none"
    FEW = "few"
    MANY = "many"


class Surface(enum.StrEnum):
    """What the surface looks like."""

    CLEAR = "clear"
    FILM = "smooth film"
    FUZZY = "fuzzy"
    COLOURED = "coloured"


@dataclass(frozen=True, slots=True)
class Seen:
    """One look at a jar; None is what was not looked at."""

    juice: Juice | None = None
    smell: Smell | None = None
    bubbles: Bubbles | None = None
    surface: Surface | None = None


NOT_LOOKED = Seen()


class Act(enum.StrEnum):
    """What an advice asks for, the gravest first."""

    DISCARD = "discard"
    CORRECT = "correct"
    WATCH = "watch"
    STRAIN = "strain"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, in a sentence or two."""

    act: Act
    text: str


JUICE_HOURS = 24.0
"""First juice comes within hours (common practice); after a day without any, something is wrong."""

_MOULD = Advice(
    Act.DISCARD,
    "Fuzzy or coloured mould: discard the whole jar, do not taste it; wash the jar, boil the stone. "
    "Taking the mould off the top does not help: it has grown into the plant.",
)
_FOUL = Advice(Act.DISCARD, "Foul smell: it has rotted. Discard the whole jar, do not taste it, and wash the jar hot.")
_FILM = Advice(
    Act.WATCH,
    "Smooth film: usually harmless yeast. Lift it off, press the plant under the juice, look again tomorrow; "
    "if it turns fuzzy or coloured, discard the jar.",
)
_NO_JUICE = Advice(
    Act.CORRECT,
    "No juice after a day: press the plant down, add a little sugar on top, weight it, keep it warmer.",
)
_NOT_COVERED = Advice(
    Act.CORRECT, "Plant stands out of the juice after a day: press it under and weight it, so that it stays clear."
)
_SOUR = Advice(
    Act.WATCH, "Sour: it is going on to vinegar. Strain soon if it has had its warmth, and move it out of the heat."
)
_YEASTY_QUIET = Advice(Act.STRAIN, "Smells of yeast and the bubbles have gone: it is probably ready to strain.")
_VIGOROUS = Advice(Act.WATCH, "Bubbles well: leave the cover loose, and see that it does not run over.")
_FINE = Advice(Act.NOTHING, "Nothing to do: looks as it should.")


def advice(seen: Seen, age_h: float, preparation: Preparation = Preparation.FERMENT) -> tuple[Advice, ...]:
    """Return what follows from one look at a jar, the gravest first; nothing else beside a discard.

    Args:
        seen: what was seen.
        age_h: hours since packing, 0 or more.
        preparation: what the jar holds; smell and juice say something about a ferment only.

    Source: NDSU Extension (bad odour, mould or slime: do not taste); the rest is common practice.
    """
    looks = [_surface(seen)]
    if preparation is Preparation.FERMENT:
        looks += [_smell(seen), _juice(seen, age_h), _bubbles(seen)]
    found = sorted((one for one in looks if one is not None), key=lambda one: list(Act).index(one.act))
    grave = tuple(one for one in found if one.act is Act.DISCARD)
    return grave or tuple(found) or (_FINE,)


def _surface(seen: Seen) -> Advice | None:
    if seen.surface in (Surface.FUZZY, Surface.COLOURED):
        return _MOULD
    return _FILM if seen.surface is Surface.FILM else None


def _smell(seen: Seen) -> Advice | None:
    if seen.smell is Smell.FOUL:
        return _FOUL
    if seen.smell is Smell.YEASTY and seen.bubbles is Bubbles.NONE:
        return _YEASTY_QUIET
    return _SOUR if seen.smell is Smell.SOUR else None


def _juice(seen: Seen, age_h: float) -> Advice | None:
    if age_h < JUICE_HOURS:
        return None
    if seen.juice is Juice.NONE:
        return _NO_JUICE
    return _NOT_COVERED if seen.juice is Juice.SOME else None


def _bubbles(seen: Seen) -> Advice | None:
    return _VIGOROUS if seen.bubbles is Bubbles.MANY else None
