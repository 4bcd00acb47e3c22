"""How much juice a jar can give: what is written down beyond it is a slip, or the jar was another."""

from station.domain.jars import Jar
from station.domain.packing import packing_warnings
from station.domain.preparations import Preparation
from station.domain.quantities import both_volumes, both_weights
from station.errors import NotebookError

WATER_G_PER_ML = 1.0
"""Juice is water with sugar in it, and so no lighter than water."""


def check_juice(jar: Jar, juice_ml: float | None) -> None:
    """Refuse more juice than the jar holds to the brim.

    Raises:
        NotebookError: it is so.
    """
    if juice_ml is not None and juice_ml > jar.jar_ml:
        raise NotebookError(
            f"{both_volumes(juice_ml)} of juice from jar {jar.id}, which holds {both_volumes(jar.jar_ml)}",
            "Check the amounts; --anyway records it all the same.",
            "Check the amounts, or tick that it was as much.",
        )


def juice_warning(jar: Jar) -> str:
    """Say that more juice was collected than plant and sugar together weigh; "" where it can be."""
    if jar.juice_ml is None or jar.plant_g is None or jar.sugar_g is None:
        return ""
    went_in_g = jar.plant_g + jar.sugar_g
    if jar.packing.preparation is not Preparation.FERMENT or jar.juice_ml * WATER_G_PER_ML <= went_in_g:
        return ""
    return (
        f"{both_volumes(jar.juice_ml)} of juice weigh more than the {both_weights(went_in_g)} of plant and sugar that "
        "went in: one of these amounts is written down wrong."
    )


def jar_warnings(jar: Jar) -> tuple[str, ...]:
    """Return what should be put right about a jar's packing, or about the record of its juice."""
    found = packing_warnings(jar.packing, jar.jar_ml, jar.plant_g, jar.sugar_g)
    return (*found, *(text for text in (juice_warning(jar),) if text))
