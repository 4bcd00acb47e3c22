"""Gas in a bottle of the notebook, from what its jar was packed with."""

from station.domain.bottling import Bottle
from station.domain.jars import Jar
from station.domain.pressure import Pressure, bottle_pressure
from station.domain.sugar import jar_sugar_share


def pressure_if_closed(bottle: Bottle, jar: Jar | None) -> Pressure | None:
    """Return the pressure if the bottle were closed as filled, or None when its size or its sugar is not known.

    Args:
        bottle: as the notebook tells it.
        jar: the one its juice came from, or None.
    """
    share = jar_sugar_share(jar) if jar is not None else None
    if share is None or bottle.bottle_ml is None or bottle.volume_ml >= bottle.bottle_ml:
        return None
    return bottle_pressure(bottle.volume_ml, bottle.bottle_ml, share)
