"""Feedings in the notebook: what was given, and the bottle it came out of, in one write transaction."""

from dataclasses import replace
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.bottling import Drawn, PutBack
from station.domain.feeding import (
    Fed,
    FeedingEntry,
    TakenBack,
    TakenOut,
    check_fed,
    check_given,
    check_taken_out,
    fed_from,
    was_given,
)
from station.store.bottles import BOTTLES, drawn_from
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.rounds import ROUNDS
from station.store.tokens import made_by, spend

FEEDINGS: Noun[FeedingEntry] = Noun(
    "feeding",
    TypeAdapter(Annotated[FeedingEntry, Field(discriminator="kind")]),
    lambda entry: entry.feeding_id,
    "jarside feed list",
    "Feeding",
)
_STEM = "feed"


class Feedings:
    """The feedings of the notebook."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def feed(self, model: Fed, *, now_at: datetime, anyway: bool = False, token: str = "") -> Fed:
        """Record a feeding; the juice is drawn from its bottle in the same transaction.

        Args:
            model: the feeding; its feeding_id is not used. Bottle and round may be abbreviated.
            now_at: the present, aware.
            anyway: whether more may be drawn than the bottle has left.
            token: unique for one form; a second call with it returns what the first one made.

        Raises:
            NotebookError: a bottle or round is unknown, too little is left, or an amount or time cannot be. Nothing
                was written then.
        """
        with self._notebook.writing() as connection:
            if (made := made_by(connection, token)) is not None:
                return fed_from(FEEDINGS.entries(connection, made))
            fed = check_fed(
                replace(
                    model,
                    feeding_id=FEEDINGS.numbered(connection, _STEM),
                    bottle_id=BOTTLES.chosen(connection, model.bottle_id) if model.bottle_id else "",
                    round_id=ROUNDS.chosen(connection, model.round_id) if model.round_id else "",
                )
            )
            FEEDINGS.keep(connection, fed, now_at)
            if fed.bottle_id:
                drawn_from(
                    connection, Drawn(fed.bottle_id, fed.at, fed.juice_ml, fed.feeding_id), now_at, anyway=anyway
                )
            spend(connection, token, fed.feeding_id)
            return fed

    def take_out(self, entry: TakenOut, *, now_at: datetime, token: str = "") -> Fed:
        """Record that seeds were taken out of the juice, and return the soak after it.

        Args:
            entry: which and when; its feeding_id may be abbreviated.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: the feeding is unknown, was taken back, was no soak, or is over.
        """
        with self._notebook.writing() as connection:
            name = FEEDINGS.chosen(connection, entry.feeding_id)
            if made_by(connection, token) is None:
                check_taken_out(check_given(FEEDINGS.entries(connection, name)), entry)
                FEEDINGS.keep(connection, replace(entry, feeding_id=name), now_at)
                spend(connection, token, name)
            return fed_from(FEEDINGS.entries(connection, name))

    def take_back(self, feeding_id: str, *, now_at: datetime, token: str = "") -> Fed:
        """Record that a feeding was none, or wrong; its juice is in its bottle again. Return it as it was.

        Args:
            feeding_id: which; may be abbreviated.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: the feeding is unknown, or was taken back already.
        """
        with self._notebook.writing() as connection:
            name = FEEDINGS.chosen(connection, feeding_id)
            if made_by(connection, token) is None:
                fed = check_given(FEEDINGS.entries(connection, name))
                FEEDINGS.keep(connection, TakenBack(name, now_at), now_at)
                if fed.bottle_id:
                    BOTTLES.keep(connection, PutBack(fed.bottle_id, now_at, name), now_at)
                spend(connection, token, name)
            return fed_from(FEEDINGS.entries(connection, name))

    def feedings(self) -> tuple[Fed, ...]:
        """Return all feedings that were not taken back, the latest first."""
        with self._notebook.reading() as connection:
            found = [fed_from(entries) for entries in FEEDINGS.every(connection) if was_given(entries)]
        return tuple(sorted(found, key=lambda fed: (fed.at, fed.feeding_id), reverse=True))
