"""What the files say about one jar: gathered for its page, and for programs."""

from dashboard.desk import Desk
from dashboard.kept import Kept
from dashboard.views.jar import Told
from station.domain.jars import Jar
from station.domain.need_words import need_text
from station.domain.needs import plant_need

JAR_BUCKETS = 160


class JarTeller:
    """Gathers it.

    Args:
        desk: settings, books and records.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._beliefs = Kept(desk.books.mark)

    def told(self, jar: Jar) -> Told:
        """Return what the files say about a jar.

        Raises:
            StoreError: a file cannot be read.
        """
        now_at, books, records = self._desk.now(), self._desk.books, self._desk.records
        until_at = max(jar.off_shelf_at or now_at, jar.packed_at)
        with books.shelf.together() as shelf:
            return Told(
                jar,
                shelf.outlook(jar.id),
                shelf.series(jar.packed_at, until_at, JAR_BUCKETS),
                shelf.alerts(since_at=jar.packed_at, until_at=until_at),
                tuple(bottle for bottle in records.bottles() if bottle.jar_id == jar.id),
                records.own_plants(),
                self._beliefs.get(jar.plant, lambda: belief_text(self._desk, jar.plant)) if jar.on_shelf else "",
            )


def belief_text(desk: Desk, plant: str) -> str:
    """Return what is believed of a plant, and from which jars."""
    heats = {outlook.jar_id: outlook.heat for outlook in desk.books.shelf.outlooks()}
    found = plant_need(plant, desk.records.needs(), heats, desk.settings.strain.beginning())
    return need_text(found, desk.settings.zone)
