"""Rounds in the notebook: feedings that come again."""

from dataclasses import replace
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.feeding import Fed
from station.domain.rounds import Round, RoundEntry, RoundSet, check_round_entry, round_from
from station.store.ids import slug
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.times import after_all
from station.store.tokens import made_by, spend

ROUNDS: Noun[RoundEntry] = Noun(
    "round",
    TypeAdapter(Annotated[RoundEntry, Field(discriminator="kind")]),
    lambda entry: entry.round_id,
    "jarside feed due --all",
    "Feeding",
)


class Rounds:
    """The rounds of the notebook."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def set_up(self, model: RoundSet, *, now_at: datetime, token: str = "") -> Round:
        """Record a new round; it gets an id from its place, such as beans-1.

        Args:
            model: the round; with a round_id it changes that round, without one it makes a new one.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: the days or the time cannot be, or the round to change is unknown.
        """
        with self._notebook.writing() as connection:
            if (made := made_by(connection, token)) is not None:
                return round_from(ROUNDS.entries(connection, made))
            if model.round_id:
                name = ROUNDS.chosen(connection, model.round_id)
            else:
                name = ROUNDS.numbered(connection, slug(model.place, "round"))
            taken = [one.at for one in ROUNDS.entries(connection, name)] if model.round_id else []
            entry = replace(model, round_id=name, at=after_all(model.at, taken))
            check_round_entry(None, entry)
            ROUNDS.keep(connection, entry, now_at)
            spend(connection, token, name)
            return round_from(ROUNDS.entries(connection, name))

    def record(self, entry: RoundEntry, *, now_at: datetime, token: str = "") -> Round:
        """Write that a feeding was skipped or the round stopped; its round_id is whole.

        Raises:
            NotebookError: the round is unknown or not running.
        """
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                told = ROUNDS.entries(connection, entry.round_id)
                check_round_entry(round_from(told), entry)
                ROUNDS.keep(connection, replace(entry, at=after_all(entry.at, (one.at for one in told))), now_at)
                spend(connection, token, entry.round_id)
            return round_from(ROUNDS.entries(connection, entry.round_id))

    def name_of(self, name: str) -> str:
        """Return the id of a round from an unambiguous beginning of it.

        Raises:
            NotebookError: there is none, or more than one.
        """
        with self._notebook.reading() as connection:
            return ROUNDS.chosen(connection, name)

    def rounds(self, feedings: tuple[Fed, ...]) -> tuple[Round, ...]:
        """Return every round with what was done of it, in order of recording.

        Args:
            feedings: all feedings; those of other rounds do not matter.
        """
        with self._notebook.reading() as connection:
            return tuple(round_from(entries, feedings) for entries in ROUNDS.every(connection))
