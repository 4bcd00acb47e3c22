"""A trial: seeds soaked in diluted juice against plain ones, counted from day to day."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal, TypeAlias

from station.domain.entries import in_order
from station.domain.shares import Dish
from station.errors import NotebookError

SOWN_MOST = 100_000


@dataclass(frozen=True, slots=True)
class Arm:
    """One way of treating the seeds; `dishes` holds how many were sown in each dish."""

    name: str
    dishes: tuple[int, ...]

    @property
    def sown(self) -> int:
        """Seeds in all dishes together."""
        return sum(self.dishes)


@dataclass(frozen=True, slots=True)
class Sown:
    """A trial was sown.

    Args:
        trial_id: the trial.
        at: aware UTC.
        seeds: what was sown.
        arms: two or more.
        control: the arm the others are compared with.
        bottle_id: the juice used, or "".
        treatment: how the soaked seeds were treated, free text.
        note: free text.
    """

    trial_id: str
    at: datetime
    seeds: str
    arms: tuple[Arm, ...]
    control: str
    bottle_id: str = ""
    treatment: str = ""
    note: str = ""
    kind: Literal["sown"] = "sown"


@dataclass(frozen=True, slots=True)
class Counted:
    """How many seeds of one dish had germinated by then, all told; `dish` counts from 1."""

    trial_id: str
    at: datetime
    arm: str
    germinated: int
    dish: int = 1
    kind: Literal["counted"] = "counted"


@dataclass(frozen=True, slots=True)
class Ended:
    """No more counts are to come."""

    trial_id: str
    at: datetime
    note: str = ""
    kind: Literal["ended"] = "ended"


@dataclass(frozen=True, slots=True)
class CountTakenBack:
    """What was counted at `counted_at`, in whatever dishes, was a slip."""

    trial_id: str
    at: datetime
    counted_at: datetime
    kind: Literal["count taken back"] = "count taken back"


TrialEntry: TypeAlias = Sown | Counted | CountTakenBack | Ended
"""One line of the notebook about a trial."""

_RANKS = {"sown": 0, "counted": 1, "count taken back": 1, "ended": 2}
CONTROL_NAMES = ("plain", "water", "control")


@dataclass(frozen=True, slots=True)
class Trial:
    """A trial as the notebook's entries tell it; counts in order of time."""

    id: str
    sown_at: datetime
    seeds: str
    arms: tuple[Arm, ...]
    control: str
    bottle_id: str = ""
    treatment: str = ""
    note: str = ""
    counts: tuple[Counted, ...] = ()
    ended_at: datetime | None = None
    end_note: str = ""

    def arm(self, name: str) -> Arm:
        """Return the arm of that name.

        Raises:
            NotebookError: there is none.
        """
        wanted = name.strip().casefold()
        found = [one for one in self.arms if one.name.casefold().startswith(wanted)] if wanted else []
        exact = next((one for one in found if one.name.casefold() == wanted), None)
        if exact is None and len(found) != 1:
            names = ", ".join(one.name for one in self.arms)
            raise NotebookError(f"trial {self.id} has no arm {name!r}", f"Its arms are {names}.")
        return exact or found[0]

    def dishes(self, arm: Arm) -> tuple[Dish, ...]:
        """Return the latest count of every dish of an arm; a dish never counted has 0."""
        return tuple(Dish(self._latest(arm.name, no), sown) for no, sown in enumerate(arm.dishes, start=1))

    def counts_of(self, arm: str, dish: int) -> tuple[Counted, ...]:
        """Return the counts of one dish in order of time."""
        return tuple(one for one in self.counts if one.arm == arm and one.dish == dish)

    @property
    def uncounted(self) -> tuple[str, ...]:
        """Return the arms of which some dish was never counted."""
        counted = {(one.arm, one.dish) for one in self.counts}
        dishes = ((arm.name, dish) for arm in self.arms for dish in range(1, len(arm.dishes) + 1))
        return tuple(dict.fromkeys(name for name, dish in dishes if (name, dish) not in counted))

    @property
    def last_counts(self) -> tuple[Counted, ...]:
        """What was counted at the latest time, in all dishes; empty before the first count."""
        last_at = max((one.at for one in self.counts), default=None)
        return tuple(one for one in self.counts if one.at == last_at)

    def _latest(self, arm: str, dish: int) -> int:
        counts = self.counts_of(arm, dish)
        return counts[-1].germinated if counts else 0


def sown_trial(sown: Sown) -> Sown:
    """Return the sowing unchanged if a trial can be made of it.

    Raises:
        NotebookError: fewer than two arms, two of one name, no or too many seeds, or no such control.
    """
    names = [arm.name.casefold() for arm in sown.arms]
    if len(names) < 2 or len(set(names)) < len(names) or not all(name.strip() for name in names):
        raise NotebookError(
            f"a trial with the arms {', '.join(names) or '(none)'}", "Give two or more arms with names that differ."
        )
    for arm in sown.arms:
        check_arm(arm)
    if sown.control.casefold() not in names:
        raise NotebookError(f"there is no arm {sown.control} to compare with", f"The arms are {', '.join(names)}.")
    return sown


_DISHES = re.compile(r"-?\d{1,9}(?:[\s,]+-?\d{1,9})*")


def dishes_from(text: str) -> tuple[int, ...]:
    """Return typed seeds of each dish: `20` for one dish, `20,20` or `20 20` for two.

    Raises:
        NotebookError: it cannot be read.
    """
    plain = text.strip()
    if not _DISHES.fullmatch(plain):
        raise NotebookError(f"seeds {text!r} cannot be read", "Write the seeds in each dish: 20, or 20,20 for two.")
    return tuple(int(sown) for sown in re.split(r"[\s,]+", plain))


def check_arm(arm: Arm) -> Arm:
    """Return an arm unchanged if it can be sown.

    Raises:
        NotebookError: a dish without seeds, or too many of them.
    """
    if not arm.dishes or min(arm.dishes) < 1:
        raise NotebookError(f"arm {arm.name}: {arm.sown} seeds sown", "Sow at least one seed in every dish.")
    if arm.sown > SOWN_MOST:
        raise NotebookError(f"arm {arm.name}: {arm.sown} seeds sown", f"Sow at most {SOWN_MOST:,}.")
    return arm


def control_among(arms: Iterable[Arm]) -> str:
    """Return the arm that others are compared with: the one named plain, water or control, else the last."""
    names = [arm.name for arm in arms]
    return next((name for name in names if name.casefold() in CONTROL_NAMES), names[-1] if names else "")


def trial_from(entries: Iterable[TrialEntry]) -> Trial:
    """Return the trial that its entries tell; their order does not matter.

    Raises:
        NotebookError: it was never sown, or sown twice.
    """
    told = tuple(entries)
    gone = slips(told)
    standing = [one for one in told if not (isinstance(one, Counted) and one.at in gone)]
    first, *rest = in_order(standing, _RANKS)
    if not isinstance(first, Sown):
        raise NotebookError(
            f"trial {first.trial_id} was never sown",
            "Record it first: jarside trial sow.",
            "Record it first, under Trials.",
        )
    trial = Trial(
        first.trial_id,
        first.at,
        first.seeds,
        first.arms,
        first.control,
        first.bottle_id,
        first.treatment,
        first.note,
    )
    for entry in rest:
        trial = _told(trial, entry)
    return trial


def slips(entries: Iterable[TrialEntry]) -> frozenset[datetime]:
    """Return the times of the counts that were taken back."""
    return frozenset(one.counted_at for one in entries if isinstance(one, CountTakenBack))


def _told(trial: Trial, entry: TrialEntry) -> Trial:
    match entry:
        case Counted():
            return replace(trial, counts=(*trial.counts, entry))
        case Ended():
            return replace(trial, ended_at=entry.at, end_note=entry.note)
        case CountTakenBack():
            return trial
        case Sown():
            raise NotebookError(f"trial {trial.id} was sown twice", "Give the second trial a name of its own.")


def check_trial_entry(trial: Trial, entry: TrialEntry) -> None:
    """Refuse an entry that does not fit the trial.

    Raises:
        NotebookError: before the sowing, after the end, of an unknown dish, more than were sown, a count that falls, or
            no such count to take back.
    """
    if entry.at < trial.sown_at:
        raise NotebookError(
            (f"trial {trial.id} cannot be {entry.kind} at ", entry.at, ": it was sown at ", trial.sown_at),
            "Check the time.",
        )
    if trial.ended_at is not None:
        raise NotebookError(
            f"trial {trial.id} has ended",
            f"See what came of it: jarside trial show {trial.id}.",
            "See what came of it: Trials.",
        )
    if isinstance(entry, CountTakenBack) and entry.counted_at not in (one.at for one in trial.counts):
        raise NotebookError(
            (f"trial {trial.id} has no count of ", entry.counted_at),
            f"See its counts: jarside trial show {trial.id}.",
            "See its counts: Trials.",
        )
    if isinstance(entry, Counted):
        check_counts(trial, entry)


_ALL = "Count all that have germinated so far, also those taken out."


def check_counts(trial: Trial, count: Counted) -> None:
    """Refuse a count that does not fit the trial and its other counts.

    Raises:
        NotebookError: of an unknown dish, more than were sown, or less than had germinated before.
    """
    arm = trial.arm(count.arm)
    if not 1 <= count.dish <= len(arm.dishes):
        raise NotebookError(f"arm {arm.name} has no dish {count.dish}", f"It has {len(arm.dishes)}.")
    sown = arm.dishes[count.dish - 1]
    if not 0 <= count.germinated <= sown:
        raise NotebookError(
            f"{count.germinated} germinated in arm {arm.name}, dish {count.dish}, where {sown} were sown",
            f"Count all that have germinated so far, 0 to {sown}.",
        )
    for other in trial.counts_of(arm.name, count.dish):
        falls = other.germinated > count.germinated if other.at <= count.at else other.germinated < count.germinated
        if falls:
            raise NotebookError(
                (
                    f"arm {arm.name}, dish {count.dish}: {count.germinated} germinated at ",
                    count.at,
                    f", but {other.germinated} at ",
                    other.at,
                ),
                f"{_ALL} Was the other count a slip? Take it back: jarside trial count {trial.id} --take-back.",
                f"{_ALL} Was the other count a slip? Take it back, on the trial's page.",
            )
