"""What is believed of each plant, made anew when judged jars or needs set by hand have changed."""

from station.domain.jars import Jar
from station.domain.needs import Beginning, Needs, PlantNeed, knows, plant_need
from station.domain.warmth import JarHeat
from station.ports import ShelfLog


class Beliefs:
    """The beliefs of a station.

    Args:
        beginning: what is believed of a plant nothing is known of yet.
        log: knows the warmth that judged jars had.
    """

    def __init__(self, beginning: Beginning, log: ShelfLog) -> None:
        self._beginning = beginning
        self._log = log
        self._needs = Needs()
        self._heats: dict[str, JarHeat] = {}
        self._waiting: list[Jar] = []
        self._made: dict[str, PlantNeed] = {}

    def take(self, needs: Needs) -> None:
        """Believe what the notebook says now; nothing is worked out again if that is what it said before."""
        if needs == self._needs:
            return
        kept = {outlook.jar_id: outlook.heat for outlook in self._log.saved().outlooks}
        self._needs = needs
        self._heats = {jar.id: kept[jar.id] for jar in needs.jars if knows(kept.get(jar.id), jar)}
        self._waiting = [jar for jar in needs.jars if not self._measured(jar)]
        self._made.clear()

    def _measured(self, jar: Jar) -> bool:
        return jar.id in self._heats and self._heats[jar.id].warmth.observed_h > 0.0

    def next_unknown(self) -> Jar | None:
        """Return a judged jar whose warmth is to be counted from the log, each one once; None if there is none."""
        return self._waiting.pop() if self._waiting else None

    def learn(self, jar: Jar, heat: JarHeat) -> None:
        """Take in what the log says of such a jar."""
        self._heats[jar.id] = heat
        self._made.clear()

    def of(self, plant: str) -> PlantNeed:
        """Return what is believed of a plant now."""
        if plant not in self._made:
            self._made[plant] = plant_need(plant, self._needs, self._heats, self._beginning)
        return self._made[plant]
