"""Whether entries make sense together, whatever the order in which they were written down."""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any

from station.domain.bottling import BottleEntry, Drawn, Filled, bottle_from, check_filled
from station.domain.correction_log import CorrectionEntry, CorrectionMade
from station.domain.corrections import check_line
from station.domain.feeding import FeedingEntry, check_fed, fed_from
from station.domain.jar_checks import check_amounts
from station.domain.jars import Entry, jar_from
from station.domain.needs import NeedEntry, check_need
from station.domain.own_plants import PlantAdded, PlantEntry
from station.domain.plants import own_plant
from station.domain.rounds import RoundEntry, RoundSet, check_round_entry, round_from
from station.domain.trials import Counted, Sown, TrialEntry, check_counts, sown_trial, trial_from
from station.errors import NotebookError


def check_jar(entries: Iterable[Entry]) -> None:
    """Refuse the entries of a jar that make no sense together.

    Raises:
        NotebookError: packed never or twice, bottled but never strained, before its time, or an amount that cannot be.
    """
    told = tuple(entries)
    jar = jar_from(told)
    for entry in told:
        check_amounts(entry)
        _check_after("jar", jar.id, entry.kind, entry.at, jar.packed_at)
    if jar.bottled_at is not None and (jar.strained_at is None or jar.bottled_at < jar.strained_at):
        raise NotebookError(f"jar {jar.id} was bottled, but not strained before", "Record the straining too.")


def check_bottle(entries: Iterable[BottleEntry]) -> None:
    """Refuse the entries of a bottle that make no sense together.

    Raises:
        NotebookError: filled never or twice, drawn from before it was filled, or an amount that cannot be.
    """
    told = tuple(entries)
    bottle = bottle_from(told)
    for entry in told:
        _check_after("bottle", bottle.id, entry.kind, entry.at, bottle.filled_at)
        if isinstance(entry, Filled):
            check_filled(entry)
        if isinstance(entry, Drawn) and not 0.0 < entry.volume_ml < 1e9:
            raise NotebookError(f"{entry.volume_ml:g} mL from bottle {bottle.id}", "Give an amount above 0.")


def check_feeding(entries: Iterable[FeedingEntry]) -> None:
    """Refuse a feeding that cannot be, or was recorded twice.

    Raises:
        NotebookError: it is so.
    """
    check_fed(fed_from(entries))


def check_round(entries: Iterable[RoundEntry]) -> None:
    """Refuse the entries of a round that make no sense together.

    Raises:
        NotebookError: it was never set up, or its days cannot be.
    """
    told = tuple(entries)
    round_from(told)
    for entry in told:
        if isinstance(entry, RoundSet):
            check_round_entry(None, entry)


def check_trial(entries: Iterable[TrialEntry]) -> None:
    """Refuse the entries of a trial that make no sense together.

    Raises:
        NotebookError: sown never or twice, counted before, arms that cannot be, or a count that cannot be.
    """
    told = tuple(entries)
    trial = trial_from(told)
    for entry in told:
        _check_after("trial", trial.id, entry.kind, entry.at, trial.sown_at)
        if isinstance(entry, Sown):
            sown_trial(entry)
        if isinstance(entry, Counted):
            check_counts(trial, entry)


def check_plant(entries: Iterable[PlantEntry]) -> None:
    """Refuse a plant of the grower's own that cannot be.

    Raises:
        NotebookError: it has a name that cannot be.
    """
    for entry in entries:
        if isinstance(entry, PlantAdded):
            own_plant(entry.details.name, entry.details.moisture)


def check_needs(entries: Iterable[NeedEntry]) -> None:
    """Refuse a need that cannot be.

    Raises:
        JarsideError: it is out of bounds.
    """
    for entry in entries:
        check_need(entry)


def check_corrections(entries: Iterable[CorrectionEntry]) -> None:
    """Refuse a correction that cannot be.

    Raises:
        NotebookError: its line is out of bounds.
    """
    for entry in entries:
        if isinstance(entry, CorrectionMade):
            check_line(entry.correction)


def _check_after(noun: str, name: str, kind: str, at: datetime, begin_at: datetime) -> None:
    if at < begin_at:
        raise NotebookError(
            (f"{noun} {name} cannot be {kind} at ", at, ": it begins at ", begin_at),
            "Check the times.",
        )


CHECKS: Mapping[str, Callable[[Iterable[Any]], None]] = {
    "jar": check_jar,
    "bottle": check_bottle,
    "feeding": check_feeding,
    "round": check_round,
    "trial": check_trial,
    "plant": check_plant,
    "need": check_needs,
    "correction": check_corrections,
}
"""The check of each noun."""
