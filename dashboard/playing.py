"""A stretch of the log played through the station's rules: what is asked of the player, and what it answers."""

from dataclasses import dataclass, field
from datetime import datetime

from station.config import Settings
from station.domain.alert import Alert
from station.domain.conditions import Kind
from station.domain.jars import Jar
from station.domain.needs import Needs
from station.domain.outlook import Outlook
from station.domain.readings import Reading


@dataclass(frozen=True, slots=True)
class Stretch:
    """What is to be played.

    Args:
        since_at, until_at: of the shelf log, aware UTC.
        settings: with the limits to play by.
        jars: that stand on the shelf.
        shift_c: so much warmer than it was.
        needs: what judged jars, under ids of their own, and the grower say about the needs of plants.
        judged: what was known of those jars.
        frames: at most so many moments are looked at, evenly spread.
    """

    since_at: datetime
    until_at: datetime
    settings: Settings
    jars: tuple[Jar, ...] = ()
    shift_c: float = 0.0
    needs: Needs = field(default_factory=Needs)
    judged: tuple[Outlook, ...] = ()
    frames: int = 120


@dataclass(frozen=True, slots=True)
class Moment:
    """How the shelf was at one moment of the play.

    Args:
        at: when, aware UTC.
        reading: the latest, as shifted.
        raised: the conditions that held.
        alerts: the ids of those that were open.
        outlooks: what the station thought of the jars.
        low_c, high_c: the shelf's extremes since the moment before, °C; None where nothing was to be believed.
    """

    at: datetime
    reading: Reading
    raised: tuple[Kind, ...]
    alerts: tuple[str, ...]
    outlooks: tuple[Outlook, ...]
    low_c: float | None = None
    high_c: float | None = None


@dataclass(frozen=True, slots=True)
class Played:
    """What a play came to.

    Args:
        count: how many readings were played.
        moments: in order of time.
        alerts: every alert that was open at some time of the stretch, in order.
        condition_h: how many hours each condition held.
        outlooks: the last of each jar, by id.
        evenings: the evening on which each jar would have been strained, by id, once it came.
        foreseen: the evening that each strain alert named when it was raised, by the alert's id.
    """

    count: int
    moments: tuple[Moment, ...]
    alerts: tuple[Alert, ...]
    condition_h: tuple[tuple[Kind, float], ...]
    outlooks: tuple[Outlook, ...]
    evenings: tuple[tuple[str, datetime], ...]
    foreseen: tuple[tuple[str, datetime], ...] = ()
