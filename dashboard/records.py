"""What the pages ask of the notebook beside jars: functions of a module, so that their answers are remembered."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TypeVar

from dashboard.books import Books
from station.domain.bottling import Bottle, BottleEntry, bottle_from
from station.domain.feeding import Fed
from station.domain.needs import Needs
from station.domain.plants import Plant
from station.domain.rounds import Round
from station.domain.trials import Trial
from station.ports import Answer
from station.store.bottles import Bottles
from station.store.feedings import Feedings
from station.store.ids import chosen
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from station.store.rounds import Rounds
from station.store.shelf_moves import ShelfMoves
from station.store.trials import Trials

LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)


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


def answers(notebook: Notebook) -> tuple[Answer, ...]:
    """Return what people did about alerts, in order."""
    return notebook.answers(LONG_AGO)


Recorded = TypeVar("Recorded")


def _named(name: str, known: Mapping[str, Recorded], noun: str, page: str) -> Recorded:
    """Return what a name means; the error of it says where programs and where people find all of them."""
    return known[chosen(name.strip().lower(), sorted(known), noun, f"GET /api/{noun}s", page)]


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

    def told_bottle(self, name: str) -> tuple[BottleEntry, ...]:
        """Return the entries of one bottle, by its id or an unambiguous beginning of it.

        Raises:
            UnknownNameError: there is none, or more than one.
        """
        return _named(name, {told[0].bottle_id: told for told in self.told_bottles()}, "bottle", "Bottles")

    def bottles(self) -> tuple[Bottle, ...]:
        """Return every bottle, in order of recording."""
        return tuple(bottle_from(told) for told in self.told_bottles())

    def bottle(self, name: str) -> Bottle:
        """Return a bottle, as `told_bottle` finds it."""
        return bottle_from(self.told_bottle(name))

    def feedings(self) -> tuple[Fed, ...]:
        """Return all feedings, the latest first."""
        return self._books.remembered(feedings, ())

    def rounds(self) -> tuple[Round, ...]:
        """Return every round with what was done of it."""
        return self._books.remembered(rounds, ())

    def round(self, name: str) -> Round:
        """Return a round by its id or an unambiguous beginning of it.

        Raises:
            UnknownNameError: there is none, or more than one.
        """
        return _named(name, {one.id: one for one in self.rounds()}, "round", "Feeding")

    def trials(self) -> tuple[Trial, ...]:
        """Return every trial, in order of recording."""
        return self._books.remembered(trials, ())

    def trial(self, name: str) -> Trial:
        """Return a trial by its id or an unambiguous beginning of it.

        Raises:
            UnknownNameError: there is none, or more than one.
        """
        return _named(name, {one.id: one for one in self.trials()}, "trial", "Trials")

    def own_plants(self) -> tuple[Plant, ...]:
        """Return the grower's own plants."""
        return self._books.remembered(own_plants, ())

    def needs(self) -> Needs:
        """Return what the judged jars, and the grower by hand, say about the needs of plants."""
        return self._books.remembered(needs, Needs())

    def answers(self) -> tuple[Answer, ...]:
        """Return what people did about alerts, in order."""
        return self._books.remembered(answers, ())

    def shelf_moved_at(self) -> datetime | None:
        """Return when the station was last moved, or None."""
        return self._books.remembered(shelf_moved_at, None)
