"""Weigh and mix: how much sugar for this plant, which jar, how many jars."""

import math
import re
from dataclasses import dataclass

from station.domain.figures import number_text
from station.domain.packing import jars_holding
from station.domain.plants import Moisture
from station.domain.quantities import NUMBER
from station.domain.sugar import juice_ml, juice_sugar_share
from station.errors import QuantityError

PLANT_G_PER_L = 125.0
"""About 125 g of plant for a 1 L jar, which leaves a third of it empty: common practice."""
FILLED_SHARE = 2.0 / 3.0
CAP_SHARE = 0.2
"""A fifth of the sugar closes the top with a layer of a few millimetres: common practice keeps some back."""
RATIOS_DIFFER = (
    "Guidance differs: from 3 parts of plant to 1 of sugar to equal weights. Common practice takes 3 : 2 for dry "
    "leaves and 1 : 1 for juicy ones; equal weights are the safe choice for any plant (CTAHR SA-7)."
)
_RATIO = re.compile(rf"\s*+{NUMBER}\s*+(?::|to|/)\s*+{NUMBER}\s*+")


@dataclass(frozen=True, slots=True)
class Mix:
    """What goes into a batch.

    Args:
        plant_g: plant, grams.
        sugar_g: all the sugar, grams.
        cap_g: the part of the sugar kept back for the cap, grams.
        jar_ml: the jar volume needed, mL, with a third left empty.
    """

    plant_g: float
    sugar_g: float
    cap_g: float
    jar_ml: float

    @property
    def ratio(self) -> float:
        """Parts of plant to one part of sugar."""
        return self.plant_g / self.sugar_g


def ratio_from(text: str) -> float:
    """Return plant to sugar by weight from text such as `3:2`.

    Raises:
        QuantityError: it is not of the form plant:sugar, or a side is 0.
    """
    match = _RATIO.fullmatch(text.lower())
    if match is None or float(match[1]) <= 0 or float(match[2]) <= 0:
        raise QuantityError(f"ratio {text!r} cannot be read", "Write plant to sugar by weight, such as 3:2 or 1:1.")
    return float(match[1]) / float(match[2])


def ratio_text(ratio: float) -> str:
    """Return a plant to sugar ratio in small whole numbers where it is one: "3 : 2", else "1.37 : 1"."""
    for sugar in (1, 2, 3, 4):
        plant = ratio * sugar
        if abs(plant - round(plant)) < 0.01 * sugar and round(plant) >= 1:
            return f"{round(plant)} : {sugar}"
    if ratio < 1:
        return f"1 : {number_text(1 / ratio, 1 if 1 / ratio < 9.95 else 0)}"
    return f"{ratio:.2f} : 1"


def mixed(plant_g: float, ratio: float, cap_share: float = CAP_SHARE) -> Mix:
    """Return the mix for a weight of plant.

    Args:
        plant_g: plant, grams, above 0.
        ratio: parts of plant to one part of sugar, above 0.
        cap_share: share of the sugar kept back for the cap, 0 to 1.

    Raises:
        QuantityError: a value is outside its range.
    """
    _check(plant_g, ratio, cap_share)
    sugar_g = plant_g / ratio
    return Mix(plant_g, sugar_g, sugar_g * cap_share, plant_g / PLANT_G_PER_L * 1000.0)


def _check(plant_g: float, ratio: float, cap_share: float) -> None:
    if not 0.0 < plant_g < math.inf:
        raise QuantityError(f"a plant weight of {plant_g:g} g", "Give a weight above 0.")
    if not 0.0 < ratio < math.inf:
        raise QuantityError(f"a ratio of {ratio:g}", "Give plant to sugar above 0, such as 3:2.")
    if not 0.0 <= cap_share <= 1.0:
        raise QuantityError(f"a cap of {cap_share:.0%} of the sugar", "Give 0 to 100 %.")


def mixed_for_jar(jar_ml: float, ratio: float, cap_share: float = CAP_SHARE) -> Mix:
    """Return the mix that fills a jar of `jar_ml` (above 0) to two thirds: the inverse of `Mix.jar_ml`."""
    return mixed(jar_ml / 1000.0 * PLANT_G_PER_L, ratio, cap_share)


def mixed_for_sugar(sugar_g: float, ratio: float, cap_share: float = CAP_SHARE) -> Mix:
    """Return the largest mix that `sugar_g` of sugar (above 0) allows."""
    return mixed(sugar_g * ratio, ratio, cap_share)


def scaled(mix: Mix, factor: float) -> Mix:
    """Return the same mix for a batch `factor` times as large, factor above 0."""
    if not 0.0 < factor < math.inf:
        raise QuantityError(f"{factor:g} times the batch", "Give a number above 0.")
    return Mix(mix.plant_g * factor, mix.sugar_g * factor, mix.cap_g * factor, mix.jar_ml * factor)


def jars_needed(mix: Mix, each_ml: float) -> int:
    """Return how many jars of `each_ml` (above 0) hold the mix, none more than three quarters full.

    Raises:
        QuantityError: no such jar.
    """
    if not 0.0 < each_ml < math.inf:
        raise QuantityError(f"a jar of {each_ml:g} mL", "Give a volume above 0.")
    return jars_holding(mix.plant_g, each_ml)


def fill_share(mix: Mix, jars: int, each_ml: float) -> float:
    """Return how full `jars` of `each_ml` (above 0) are with the mix, 0 to 1: the plant of `Mix.jar_ml` fills 2/3."""
    return FILLED_SHARE * mix.jar_ml / (jars * each_ml)


def expected_juice_ml(mix: Mix, moisture: Moisture) -> float:
    """Return the most juice that the plant's water and the sugar can make, mL: an upper bound, not a promise."""
    return juice_ml(mix.plant_g, mix.sugar_g, juice_sugar_share(mix.plant_g, mix.sugar_g, moisture))
