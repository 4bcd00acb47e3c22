"""Sun windows: from where the sun has reached this shelf, and when it will come again if the sky is clear.

What stops the sun is the same every day, but the sun meets it at another time. From the days on which direct sun was
seen the station learns these edges; days on which a cloud hid one agree with nothing and fall away by themselves. An
edge that has not been met yet cannot be known: later in the year the sun may be stopped by another.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import groupby

from station.domain.edges import MOMENT_MIN, Edge, Seen, aside_deg, edges_of
from station.domain.sun import Place, SunPosition, sun_position

SPELL_GAP = timedelta(minutes=15)
"""Minutes of sun that lie further apart belong to two spells."""
WINDOWS_APART = timedelta(hours=1)
"""Times of day that lie further apart, whatever the day, belong to two windows."""
LEAST_DAYS = 2
"""One day may have been a lamp or a mirror."""
HALF_LIFE = timedelta(days=30)
"""An older day counts half: curtains, leaves and neighbours change."""
FORGET_AFTER = timedelta(days=180)
BEYOND_DEG = 25.0
ABOVE_DEG = 15.0
"""How far outside the azimuths and the elevations in which it was seen the sun may still be expected."""

_LOOK = timedelta(minutes=4)


@dataclass(frozen=True, slots=True)
class SunSpell:
    """A stretch of direct sun on the shelf, seen or expected."""

    began_at: datetime
    ended_at: datetime


@dataclass(frozen=True, slots=True)
class SunWindow:
    """A part of the sky from which direct sun reaches the shelf.

    Args:
        azimuth_from_deg, azimuth_to_deg: where the sun stood when it was first and last seen, 0 to 360.
        elevation_from_deg, elevation_to_deg: its lowest and highest when first, last, and half way between seen.
        comes, goes: the edges at which it comes and goes; with two, the one that matters changed with the season.
        days: on how many days it was seen.
        last_seen_at: when it was last seen.
    """

    azimuth_from_deg: float
    azimuth_to_deg: float
    elevation_from_deg: float
    elevation_to_deg: float
    comes: tuple[Edge, ...]
    goes: tuple[Edge, ...]
    days: int
    last_seen_at: datetime


def spells_of(sunny_ats: Iterable[datetime], gap: timedelta = SPELL_GAP) -> tuple[SunSpell, ...]:
    """Return the spells that minutes with direct sun make up.

    Args:
        sunny_ats: the times, in order, at which the light was that of direct sun.
        gap: times further apart belong to two spells; longer than the log's cadence.
    """
    spells: list[SunSpell] = []
    for at in sunny_ats:
        if spells and at - spells[-1].ended_at <= gap:
            spells[-1] = SunSpell(spells[-1].began_at, at)
        else:
            spells.append(SunSpell(at, at))
    return tuple(spells)


def sun_windows(
    place: Place, spells: Iterable[SunSpell], now_at: datetime, moved_at: datetime | None = None
) -> tuple[SunWindow, ...]:
    """Return the windows through which the sun has reached the shelf, in the order of the day.

    Args:
        place: where the shelf is.
        spells: when direct sun was seen.
        now_at: the present; older days count less, and those of half a year ago nothing.
        moved_at: when the station was put where it stands; what was seen before is forgotten.
    """
    oldest_at = max(now_at - FORGET_AFTER, moved_at or now_at - FORGET_AFTER)
    recent = [spell for spell in spells if oldest_at <= spell.began_at <= now_at]
    windows = [_window(place, list(_by_day(place, group)), now_at) for group in _by_time_of_day(place, recent)]
    return tuple(window for window in windows if window is not None)


def expected_sun(place: Place, window: SunWindow, day: date, zone: tzinfo) -> SunSpell | None:
    """Return when the sun comes through a window on a local day if the sky is clear; None if it does not.

    Args:
        place: where the shelf is.
        window: a learned window.
        day: the calendar day in `zone`.
        zone: the zone in which people there count days.
    """
    start_at = datetime.combine(day, time.min, zone).astimezone(UTC)
    ats = [start_at + _LOOK * step for step in range(round(timedelta(days=1) / _LOOK) + 1)]
    inside = [_inside(window, sun_position(place, at)) for at in ats]
    first = next((step for step, lit in enumerate(inside) if lit), None)
    if first is None:
        return None
    past = next((step for step in range(first, len(inside)) if not inside[step]), len(inside) - 1)
    began_at = ats[0] if first == 0 else _turn(place, window, ats[first - 1], ats[first])
    return SunSpell(began_at, _turn(place, window, ats[past], ats[past - 1]))


def _solar(place: Place, at: datetime) -> datetime:
    """Return the mean time by the sun, so that days begin at midnight there."""
    return at.astimezone(UTC) + timedelta(hours=place.lon_deg / 15.0)


def _solar_h(place: Place, at: datetime) -> float:
    solar_at = _solar(place, at)
    return solar_at.hour + solar_at.minute / 60.0


def _by_time_of_day(place: Place, spells: Sequence[SunSpell]) -> Iterator[list[SunSpell]]:
    """Yield the spells of each window: those whose times of day, taken over all days, hang together."""
    group: list[SunSpell] = []
    latest_h = 0.0
    for spell in sorted(spells, key=lambda one: _solar_h(place, one.began_at)):
        begin_h = _solar_h(place, spell.began_at)
        if group and begin_h - latest_h > WINDOWS_APART / timedelta(hours=1):
            yield group
            group, latest_h = [], 0.0
        group.append(spell)
        latest_h = max(latest_h, begin_h + (spell.ended_at - spell.began_at) / timedelta(hours=1))
    if group:
        yield group


def _by_day(place: Place, spells: Iterable[SunSpell]) -> Iterator[SunSpell]:
    """Yield one spell a day, from its first minute of sun to its last: what lies between is cloud."""
    in_order = sorted(spells, key=lambda one: one.began_at)
    for _, group in groupby(in_order, lambda one: _solar(place, one.began_at).date()):
        day = list(group)
        yield SunSpell(day[0].began_at, day[-1].ended_at)


def _window(place: Place, days: Sequence[SunSpell], now_at: datetime) -> SunWindow | None:
    if len(days) < LEAST_DAYS:
        return None
    begins = [_seen(place, day.began_at, now_at) for day in days]
    ends = [_seen(place, day.ended_at, now_at) for day in days]
    middles = [_seen(place, day.began_at + (day.ended_at - day.began_at) / 2, now_at) for day in days]
    suns = [one.sun for one in (*begins, *middles, *ends)]
    middle_deg = middles[-1].sun.azimuth_deg
    asides = [aside_deg(sun.azimuth_deg, middle_deg) for sun in suns]
    elevations = [sun.elevation_deg for sun in suns]
    return SunWindow(
        azimuth_from_deg=(middle_deg + min(asides)) % 360.0,
        azimuth_to_deg=(middle_deg + max(asides)) % 360.0,
        elevation_from_deg=min(elevations),
        elevation_to_deg=max(elevations),
        comes=edges_of(begins, come=True),
        goes=edges_of(ends, come=False),
        days=len(days),
        last_seen_at=days[-1].ended_at,
    )


def _seen(place: Place, at: datetime, now_at: datetime) -> Seen:
    weight = 0.5 ** ((now_at - at) / HALF_LIFE)
    return Seen(sun_position(place, at), sun_position(place, at + timedelta(minutes=MOMENT_MIN)), weight)


def _inside(window: SunWindow, sun: SunPosition) -> bool:
    lowest_deg = max(0.0, window.elevation_from_deg - ABOVE_DEG)
    if not lowest_deg < sun.elevation_deg < window.elevation_to_deg + ABOVE_DEG:
        return False
    width_deg = (window.azimuth_to_deg - window.azimuth_from_deg) % 360.0
    along_deg = (sun.azimuth_deg - window.azimuth_from_deg + BEYOND_DEG) % 360.0
    if along_deg > width_deg + 2.0 * BEYOND_DEG:
        return False
    return all(edge.passed(sun) for edge in window.comes) and not any(edge.passed(sun) for edge in window.goes)


def _turn(place: Place, window: SunWindow, dark_at: datetime, sunny_at: datetime) -> datetime:
    """Return when it becomes sunny between two moments, or dark if they come the other way round."""
    while abs(sunny_at - dark_at) > timedelta(seconds=15):
        middle_at = dark_at + (sunny_at - dark_at) / 2
        if _inside(window, sun_position(place, middle_at)):
            sunny_at = middle_at
        else:
            dark_at = middle_at
    return sunny_at.replace(microsecond=0)
