"""Gas in a closed bottle: how high the pressure gets when sugar goes on fermenting behind a tight lid."""

import math
from dataclasses import dataclass

from station.domain.figures import number_text
from station.domain.sugar import sugar_in_g
from station.errors import QuantityError

GAS_L_BAR_PER_MOL_K = 0.0831446
SUCROSE_G_PER_MOL = 342.297
CO2_PER_SUCROSE = 4.0
"""C₁₂H₂₂O₁₁ + H₂O → 4 C₂H₅OH + 4 CO₂."""


def co2_mol(fermented_g: float) -> float:
    """Return moles of CO₂ from `fermented_g` grams of sucrose fermented whole."""
    return fermented_g / SUCROSE_G_PER_MOL * CO2_PER_SUCROSE


def co2_solubility_mol_per_l_bar(temp_c: float) -> float:
    """Return how much CO₂ a litre of water takes up per bar, mol.

    Source: Henry's constant 0.034 mol/(kg bar) at 25 °C, temperature coefficient 2400 K (NIST Chemistry WebBook). Sugar
    lowers it, so that the truth lies between this and nothing dissolved.
    """
    return 0.034 * math.exp(2400.0 * (1.0 / (temp_c + 273.15) - 1.0 / 298.15))


@dataclass(frozen=True, slots=True)
class Pressure:
    """Pressure above the outside air in a closed bottle, bar.

    Args:
        settled_bar: when as much gas has dissolved as water takes up.
        most_bar: when none has: shaken, warmed, or thick with sugar.
    """

    settled_bar: float
    most_bar: float


def closed_pressure(fermented_g: float, bottle_ml: float, juice_ml: float, temp_c: float = 20.0) -> Pressure:
    """Return the pressure after `fermented_g` grams of sugar fermented in a closed bottle.

    Args:
        fermented_g: sugar that ferments after closing, grams, 0 or more.
        bottle_ml: what the bottle holds to the brim, mL.
        juice_ml: what is in it, mL; less than the bottle holds.
        temp_c: temperature of the bottle, −5 to 50 °C.

    Raises:
        QuantityError: the bottle is full to the brim, or a value is outside its range.
    """
    if not 0.0 <= juice_ml < bottle_ml:
        raise QuantityError(f"{juice_ml:g} mL in a bottle of {bottle_ml:g} mL", "Leave head space: a third.")
    if fermented_g < 0.0 or not -5.0 <= temp_c <= 50.0:
        raise QuantityError(f"{fermented_g:g} g of sugar at {temp_c:g} °C", "Give 0 g or more, at −5 to 50 °C.")
    gas_mol_per_bar = (bottle_ml - juice_ml) / 1000.0 / (GAS_L_BAR_PER_MOL_K * (temp_c + 273.15))
    dissolved_mol_per_bar = juice_ml / 1000.0 * co2_solubility_mol_per_l_bar(temp_c)
    mol = co2_mol(fermented_g)
    return Pressure(mol / (gas_mol_per_bar + dissolved_mol_per_bar), mol / gas_mol_per_bar)


FERMENTED_SHARE = 0.01
"""An assumption, not a measurement: a hundredth of the sugar still ferments after closing."""


def bottle_pressure(
    juice_ml: float,
    bottle_ml: float,
    sugar_share: float,
    fermented_share: float = FERMENTED_SHARE,
    temp_c: float = 20.0,
) -> Pressure:
    """Return the pressure in a closed bottle when part of its sugar still ferments.

    Args:
        juice_ml, bottle_ml, temp_c: as for `closed_pressure`.
        sugar_share: sugar in the juice by weight, 0 to 0.67.
        fermented_share: part of that sugar which ferments after closing, 0 to 1.
    """
    return closed_pressure(sugar_in_g(juice_ml, sugar_share) * fermented_share, bottle_ml, juice_ml, temp_c)


WARN_BAR = 0.5
"""Above this a screw jar or a thin bottle may fail; a bottle made for sparkling drinks holds some 6 bar when new."""
MOST_BAR = 10.0
"""No bottle of a kitchen holds this; the estimate goes beyond all bounds as the head space goes to nothing."""


def pressure_sentence(pressure: Pressure, fermented_share: float = FERMENTED_SHARE) -> str:
    """Say what the pressure means, without comforting anyone: the higher figure alone, for it is the one that bursts.

    Args:
        pressure: if the bottle were closed.
        fermented_share: the part of its sugar that this takes to ferment, 0 to 1.
    """
    what = (
        f"Closed tightly it could reach {_bar_text(pressure.most_bar)} above the air outside, should only "
        f"{number_text(fermented_share * 100.0)} % of its sugar still ferment"
    )
    if pressure.most_bar >= WARN_BAR:
        return f"{what}: enough to burst a jar or a bottle. Keep the lid loose."
    return f"{what}. Keep the lid loose while it works, all the same."


def _bar_text(bar: float) -> str:
    """Return a pressure in bar to a tenth; no figure above what any bottle holds."""
    if bar > MOST_BAR:
        return f"more than {MOST_BAR:.0f} bar"
    return f"{number_text(bar, 1)} bar" if bar >= 0.05 else "less than 0.1 bar"
