"""The people about the shelf: cooking, airing and the evening lamp, never quite the same two days running."""

from dataclasses import dataclass
from random import Random
from typing import NamedTuple

from sim.bounds import KEYS, Hour, NotNegative
from sim.chance import stream

_PERSON_W = 80.0
_PERSON_GH = 55.0
"""Heat and water that a person gives off at light work (common practice in building physics)."""
_MEALS = ((7.2, 0.3, 0.4), (12.7, 0.5, 0.6), (18.6, 0.9, 1.0))
"""Local hour, length in hours, and share of a full dinner's heat and steam."""
_SPREAD_H = 0.25


@dataclass(frozen=True, slots=True)
class Household:
    """How the room is lived in.

    Args:
        people: how many are in the room, on average, while someone is up.
        up_h: local hours between which they are up.
        always_w: heat of a refrigerator and the like.
        cooking_w, cooking_gh: heat and water that a full dinner gives off while it cooks.
        airing_per_h: extra air exchanges an hour while the window stands open after a meal.
        lamp_lx: what the lamp gives the shelf in the evening.
        lamp_below_lx: the lamp is lit when daylight on the shelf is less than this.
    """

    __pydantic_config__ = KEYS
    people: NotNegative = 0.0
    up_h: tuple[Hour, Hour] = (6.5, 22.5)
    always_w: NotNegative = 0.0
    cooking_w: NotNegative = 0.0
    cooking_gh: NotNegative = 0.0
    airing_per_h: NotNegative = 0.0
    lamp_lx: NotNegative = 0.0
    lamp_below_lx: NotNegative = 60.0


class Doings(NamedTuple):
    """What goes on just now: heat, W; water given off, g/h; extra air exchanges an hour; lamp on the shelf, lx."""

    heat_w: float
    moisture_gh: float
    airing_per_h: float
    lamp_lx: float


class _Meal(NamedTuple):
    from_h: float
    until_h: float
    share: float


class LivingHousehold:
    """A household that goes through its days; the same for the same seed."""

    def __init__(self, household: Household, seed: int) -> None:
        self._household = household
        self._random = stream(seed, "household")
        self._day = -1
        self._meals: tuple[_Meal, ...] = ()

    def at(self, day: int, hour: float, daylight_lx: float) -> Doings:
        """Return what goes on.

        Args:
            day: number of the local day, counting up.
            hour: local hour, 0 to 24.
            daylight_lx: daylight on the shelf.
        """
        if day != self._day:
            self._day = day
            self._meals = tuple(_meal(self._random, *meal) for meal in _MEALS)
        household = self._household
        up = household.up_h[0] <= hour < household.up_h[1]
        here = household.people if up else 0.0
        cooking = next((meal.share for meal in self._meals if meal.from_h <= hour < meal.until_h), 0.0)
        airing = any(meal.until_h <= hour < meal.until_h + 0.4 for meal in self._meals)
        return Doings(
            household.always_w + here * _PERSON_W + cooking * household.cooking_w,
            here * _PERSON_GH + cooking * household.cooking_gh,
            household.airing_per_h if airing else 0.0,
            household.lamp_lx if up and daylight_lx < household.lamp_below_lx else 0.0,
        )


def _meal(random: Random, hour: float, length_h: float, share: float) -> _Meal:
    begins_h = hour + random.gauss(0.0, _SPREAD_H)
    return _Meal(begins_h, begins_h + length_h * random.uniform(0.7, 1.3), share * random.uniform(0.6, 1.2))
