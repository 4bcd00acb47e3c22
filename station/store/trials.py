"""Trials in the notebook: sown, counted and ended."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.trials import (
    Counted,
    Sown,
    Trial,
    TrialEntry,
    check_trial_entry,
    slips,
    sown_trial,
    trial_from,
)
from station.store.bottles import BOTTLES
from station.store.ids import slug
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.times import after_all
from station.store.tokens import made_by, spend

TRIALS: Noun[TrialEntry] = Noun(
    "trial",
    TypeAdapter(Annotated[TrialEntry, Field(discriminator="kind")]),
    lambda entry: entry.trial_id,
    "jarside trial list",
    "Trials",
)


class Trials:
    """The trials of the notebook."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def sow(self, model: Sown, *, now_at: datetime, token: str = "") -> Trial:
        """Record a new trial; it gets an id from its seeds, such as beans-1.

        Args:
            model: the trial; its trial_id is not used, its bottle may be abbreviated.
            now_at: the present, aware.
            token: unique for one form; a second call with it returns the first one's trial.

        Raises:
            NotebookError: the arms, the bottle or the time cannot be.
        """
        with self._notebook.writing() as connection:
            if (made := made_by(connection, token)) is not None:
                return trial_from(TRIALS.entries(connection, made))
            name = TRIALS.numbered(connection, slug(model.seeds, "trial"))
            bottle_id = BOTTLES.chosen(connection, model.bottle_id) if model.bottle_id else ""
            entry = sown_trial(replace(model, trial_id=name, bottle_id=bottle_id))
            TRIALS.keep(connection, entry, now_at)
            spend(connection, token, name)
            return trial_from((entry,))

    def record(self, *entries: TrialEntry, now_at: datetime, token: str = "") -> Trial:
        """Write counts, one taken back, or the end of one trial, all or none, and return the trial after them.

        Args:
            entries: at least one; trial ids are whole, arms may be abbreviated.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: the trial is unknown or has ended, or a count cannot be.
        """
        name = entries[0].trial_id
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                gone = slips(TRIALS.entries(connection, name))
                for entry in entries:
                    trial = trial_from(TRIALS.entries(connection, name))
                    check_trial_entry(trial, entry)
                    TRIALS.keep(connection, _whole(trial, entry, gone), now_at)
                spend(connection, token, name)
            return trial_from(TRIALS.entries(connection, name))

    def trial(self, name: str) -> Trial:
        """Return a trial by its id or an unambiguous beginning of it.

        Raises:
            NotebookError: there is none, or more than one.
        """
        with self._notebook.reading() as connection:
            return trial_from(TRIALS.entries(connection, TRIALS.chosen(connection, name)))

    def trials(self) -> tuple[Trial, ...]:
        """Return every trial, in order of recording."""
        with self._notebook.reading() as connection:
            return tuple(trial_from(entries) for entries in TRIALS.every(connection))


def _whole(trial: Trial, entry: TrialEntry, gone: Iterable[datetime]) -> TrialEntry:
    """Return an entry with its arm's whole name; a count made anew is told apart from the one that was taken back."""
    if not isinstance(entry, Counted):
        return entry
    return replace(entry, arm=trial.arm(entry.arm).name, at=after_all(entry.at, gone))
