"""The labels of this shelf: what stands on them, and where their codes lead."""

from collections.abc import Iterable

from dashboard.desk import Desk
from station.domain.addresses import bottle_page, jar_page, page_address
from station.domain.bottling import Bottle
from station.domain.jars import Jar
from station.domain.label_sheets import Sheet
from station.domain.labels import Label, bottle_label, jar_label
from station.domain.preparations import Preparation
from station.errors import JarsideError, UnknownNameError
from station.labels import page_svgs

MOST_COPIES = 100
MOST_LABELS = 400


class Labelling:
    """Writes labels.

    Args:
        desk: settings, books and records.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.address = page_address(desk.settings.dashboard.allowed_hosts, desk.settings.dashboard.port)
        """Where the codes lead."""

    def pages(self, names: Iterable[str], sheet: Sheet, first: int, copies: int) -> tuple[str, ...]:
        """Return sheets of labels as SVG.

        Args:
            names: whole ids of jars and bottles.
            sheet: the paper.
            first: the place of the first label on it, from 1.
            copies: so many of each.

        Raises:
            UnknownNameError: there is no such jar or bottle.
            JarsideError: they are too many, or the sheet has no such place.
        """
        labels = [label for name in names for label in [self._named(name)] * copies]
        if len(labels) > MOST_LABELS:
            raise JarsideError(f"{len(labels)} labels", f"Print at most {MOST_LABELS} at once.")
        return page_svgs(labels, sheet, first)

    def _named(self, name: str) -> Label:
        jar = self._desk.books.whole_jar(name)
        if jar is not None:
            return self.of_jar(jar)
        bottle = next((one for one in self._desk.records.bottles() if one.id == name), None)
        if bottle is None:
            raise UnknownNameError(
                f"there is no jar or bottle {name!r}",
                "See them: GET /api/jars, GET /api/bottles.",
                "Tick those that are shown.",
            )
        return self.of_bottle(bottle)

    def of_jar(self, jar: Jar) -> Label:
        """Return a jar's label."""
        manner, outlook = self._desk.manner, self._desk.books.shelf.outlook(jar.id)
        return jar_label(jar, outlook, jar_page(self.address, jar.id), manner.zone, manner.measures)

    def of_bottle(self, bottle: Bottle) -> Label:
        """Return a bottle's label."""
        manner = self._desk.manner
        jar = self._desk.books.whole_jar(bottle.jar_id)
        preparation = jar.packing.preparation if jar else Preparation.FERMENT
        page = bottle_page(self.address, bottle.id)
        return bottle_label(bottle, page, manner.zone, manner.measures, manner.keeping, preparation)
