"""The player: what is asked of a replay, with which jars it is played, and what it comes to."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from dashboard.desk import Desk
from dashboard.kept import Kept
from dashboard.playing import Played, Stretch
from dashboard.turns import Turns
from dashboard.views.replay import WhatIf
from station.config import LimitSettings, Settings
from station.domain.jars import Jar
from station.domain.needs import Needs
from station.domain.outlook import Outlook
from station.errors import JarsideError

LONGEST_DAYS = 14
WARMED_DAYS = 7
"""A jar that stood there for longer before the stretch is left out: its warmth would take too long to play."""
MOST_SHIFT_C = 15.0
_TURNS = Turns()
"""One play at a time, whoever asks: it takes all that a small computer has."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: local days, both included, and what is supposed."""

    first: date
    last: date
    what_if: WhatIf

    @property
    def in_bounds(self) -> bool:
        """Whether the days are in order, and not too many."""
        return timedelta(0) <= self.last - self.first < timedelta(days=LONGEST_DAYS)


@dataclass(frozen=True, slots=True)
class Cast:
    """The jars of a play.

    Args:
        jars: those that stood there in the stretch, as if they had been left standing.
        gone: the ids of those of them that were strained or discarded in it.
        left_out: the ids of those that stood there for too long before.
    """

    jars: tuple[Jar, ...] = ()
    gone: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plays:
    """A stretch as it was, and as it would have been where something is supposed."""

    plain: Played
    other: Played | None


class Player:
    """Plays what is asked for, and remembers what was played last until the notebook changes.

    Args:
        desk: settings, books and time.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._kept = Kept(desk.books.notebook_mark, most=4)

    def play(self, asked: Asked, play: Callable[[Stretch], Played]) -> Plays:
        """Play a stretch.

        Args:
            asked: the stretch, and what is supposed.
            play: plays, as it is lent.

        Raises:
            BusyError: too many wait for theirs already.
            StoreError: the log cannot be read.
        """
        return self._kept.get(self._key(asked), lambda: self._in_turn(asked, play))

    def _key(self, asked: Asked) -> tuple[Asked, tuple[datetime, datetime]]:
        return asked, self.ends(asked)

    def _in_turn(self, asked: Asked, play: Callable[[Stretch], Played]) -> Plays:
        """Play a stretch when it is its turn; who asked for the same meanwhile gets what was played for the other."""
        with _TURNS.turn():
            return self._kept.get(self._key(asked), lambda: self._played(asked, play))

    def _played(self, asked: Asked, play: Callable[[Stretch], Played]) -> Plays:
        since_at, until_at = self.ends(asked)
        needs, judged = self._learned(until_at)
        jars, what_if = self.cast(asked).jars, asked.what_if
        stretch = Stretch(since_at, until_at, self._desk.settings, jars, needs=needs, judged=judged)
        supposed = settings_with(self._desk.settings, what_if)
        plain = play(stretch)
        other = play(replace(stretch, settings=supposed, shift_c=what_if.shift_c)) if what_if.any else None
        return Plays(plain, other)

    def _learned(self, until_at: datetime) -> tuple[Needs, tuple[Outlook, ...]]:
        """Return what jars judged by then have taught, as the station has it: else the same jar had another evening.

        They have ids of their own, because one of them may be played, too, as if it had been left standing.
        """
        needs = self._desk.records.needs()
        known = {outlook.jar_id: outlook for outlook in self._desk.books.shelf.outlooks()}
        taught = [jar for jar in needs.jars if jar.id in known and jar.judged_at and jar.judged_at < until_at]
        judged = tuple(replace(known[jar.id], jar_id=f"judged {jar.id}") for jar in taught)
        return Needs(tuple(replace(jar, id=f"judged {jar.id}") for jar in taught), needs.entries), judged

    def ends(self, asked: Asked) -> tuple[datetime, datetime]:
        """Return the ends of a stretch; one of today ends at the last full ten minutes, one to come as it begins."""
        zone = self._desk.manner.zone
        since_at = datetime.combine(asked.first, time(0), zone)
        until_at = datetime.combine(asked.last + timedelta(days=1), time(0), zone)
        now_at = self._desk.now()
        full_at = now_at.replace(minute=now_at.minute // 10 * 10, second=0, microsecond=0)
        return since_at, max(since_at, min(until_at, full_at))

    def cast(self, asked: Asked) -> Cast:
        """Return the jars to play with."""
        since_at, until_at = self.ends(asked)
        stood = [
            jar
            for jar in self._desk.books.jars()
            if jar.packed_at < until_at and (jar.off_shelf_at is None or jar.off_shelf_at > since_at)
        ]
        begin_at = since_at - timedelta(days=WARMED_DAYS)
        played = [jar for jar in stood if jar.packed_at >= begin_at]
        return Cast(
            tuple(map(_left_standing, played)),
            tuple(jar.id for jar in played if jar.off_shelf_at is not None and jar.off_shelf_at < until_at),
            tuple(jar.id for jar in stood if jar.packed_at < begin_at),
        )


def _left_standing(jar: Jar) -> Jar:
    """Return a jar as if nobody had strained or discarded it: the play says when that would have been due."""
    return replace(jar, strained_at=None, bottled_at=None, discarded_at=None)


def supposed(settings: Settings, cold_c: float | None, hot_c: float | None, shift_c: float) -> WhatIf:
    """Return what is supposed to have been otherwise.

    Args:
        settings: as they are.
        cold_c, hot_c: limits, °C; None is as it is.
        shift_c: so much warmer, °C.
    """
    limits = settings.limits
    return WhatIf(_other(cold_c, limits.cold_c), _other(hot_c, limits.hot_c), shift_c)


def _other(asked_c: float | None, set_c: float) -> float | None:
    """Return a limit that differs from the set one; what a form shows is rounded."""
    return None if asked_c is None or abs(asked_c - set_c) < 0.05 else asked_c


def settings_with(settings: Settings, what_if: WhatIf) -> Settings:
    """Return the settings with the limits that are supposed.

    Raises:
        JarsideError: they are not allowed.
    """
    changes = {"cold_c": what_if.cold_c, "hot_c": what_if.hot_c}
    values = settings.limits.model_dump() | {name: at_c for name, at_c in changes.items() if at_c is not None}
    try:
        return settings.model_copy(update={"limits": LimitSettings.model_validate(values)})
    except ValueError:
        raise JarsideError(
            "hot must lie more than a degree above cold", "Cold from -10 to 40 °C, hot from 0 to 60."
        ) from None
