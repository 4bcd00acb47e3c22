"""The kinds of things that stand on the shelf in jars, and the clock each of them goes by."""

import enum
from dataclasses import dataclass


class Preparation(enum.StrEnum):
    """What a jar holds."""

    FERMENT = "ferment"
    """Plant and sugar; ready when it has had its warmth."""
    VINEGAR = "vinegar"
    """A vinegar extraction, such as of eggshells: ready after a number of days."""
    STEEP = "steep"
    """Plant in water: ready after a number of days."""


@dataclass(frozen=True, slots=True)
class Recipe:
    """What is peculiar to a preparation.

    Args:
        name: how people call it.
        days: how long it usually stands, None when it goes by warmth.
        sugared: whether sugar is weighed in.
        gas: why its cover must let gas out.
        straining: what to do once it was tipped into the strainer.
    """

    name: str
    days: float | None
    sugared: bool
    gas: str
    straining: str


_DRIP = "Collect the juice in the morning, after about twelve hours; do not squeeze."
_POUR = "Bottle it as soon as it has run through; what stays in the strainer goes on the compost."
_RECIPES = {
    Preparation.FERMENT: Recipe("plant ferment", None, True, "the ferment gives off gas", _DRIP),
    # Ten days for shells in vinegar and seven for leaves in water: common practice; both are settable on each jar.
    Preparation.VINEGAR: Recipe("vinegar extraction", 10.0, False, "shells fizz in vinegar", _POUR),
    Preparation.STEEP: Recipe("water steep", 7.0, False, "rotting leaves give off gas", _POUR),
}


def recipe(preparation: Preparation) -> Recipe:
    """Return what is peculiar to a preparation."""
    return _RECIPES[preparation]
