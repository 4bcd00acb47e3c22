"""What the pages ask of the notebook beside jars: functions of a module, so that their answers are remembered."""

from datetime import datetime

from dashboard.books import Books
from station.domain.bottling import Bottle, BottleEntry, bottle_from
from station.domain.feeding import Fed
from station.domain.needs import Needs
from station.domain.plants import Plant
from station.domain.rounds import Round
from station.domain.trials import Trial
from station.store.bottles import Bottles
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from station.store.rounds import Rounds
from station.store.shelf_moves import ShelfMoves
from station.store.trials import Trials


def told_bottles(notebook: Notebook) -> tuple[tuple[BottleEntry, ...], ...]:
    """Return the entries of every bottle."""
    return Bottles(notebook).told()


def feedings(notebook: Notebook) -> tuple[Fed, ...]:
    """Return all feedings, the latest first."""
    return Feedings(notebook).feedings()


def rounds(notebook: Notebook) -> tuple[Round, ...]:
    """Return every round with what was done of it."""
    return Rounds(notebook).rounds(feedings(notebook))


def trials(notebook: Notebook) -> tuple[Trial, ...]:
    """Return every trial, in order of recording."""
    return Trials(notebook).trials()


def own_plants(notebook: Notebook) -> tuple[Plant, ...]:
    """Return the grower's own plants."""
    return OwnPlants(notebook).plants()


def needs(notebook: Notebook) -> Needs:
    """Return what the judged jars, and the grower by hand, say about the needs of plants."""
    return notebook.needs()


def shelf_moved_at(notebook: Notebook) -> datetime | None:
    """Return when the station was last moved, or None."""
    return ShelfMoves(notebook).last_at()


class Records:
    """What was recorded beside jars, remembered until somebody writes.

    Args:
        books: the two files.
    """

    def __init__(self, books: Books) -> None:
        self._books = books

    def told_bottles(self) -> tuple[tuple[BottleEntry, ...], ...]:
        """Return the entries of every bottle."""
        return self._books.remembered(told_bottles, ())

    def bottles(self) -> tuple[Bottle, ...]:
        """Return every bottle, in order of recording."""
        return tuple(bottle_from(told) for told in self.told_bottles())

    def feedings(self) -> tuple[Fed, ...]:
        """Return all feedings, the latest first."""
        return self._books.remembered(feedings, ())

    def rounds(self) -> tuple[Round, ...]:
        """Return every round with what was done of it."""
        return self._books.remembered(rounds, ())

    def trials(self) -> tuple[Trial, ...]:
        """Return every trial, in order of recording."""
        return self._books.remembered(trials, ())

    def own_plants(self) -> tuple[Plant, ...]:
        """Return the grower's own plants."""
        return self._books.remembered(own_plants, ())

    def needs(self) -> Needs:
        """Return what the judged jars, and the grower by hand, say about the needs of plants."""
        return self._books.remembered(needs, Needs())

    def shelf_moved_at(self) -> datetime | None:
        """Return when the station was last moved, or None."""
        return self._books.remembered(shelf_moved_at, None)
