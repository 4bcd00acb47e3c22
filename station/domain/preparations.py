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
    """

    name: str
    days: float | None
    sugared: bool
    gas: str


_RECIPES = {
    Preparation.FERMENT: Recipe("plant ferment", None, True, "the ferment gives off gas"),
    # Ten days for shells in vinegar and seven for leaves in water: common practice; both are settable on each jar.
    Preparation.VINEGAR: Recipe("vinegar extraction", 10.0, False, "shells fizz in vinegar"),
    Preparation.STEEP: Recipe("water steep", 7.0, False, "rotting leaves give off gas"),
}


def recipe(preparation: Preparation) -> Recipe:
    """Return what is peculiar to a preparation."""
    return _RECIPES[preparation]
