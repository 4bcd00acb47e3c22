"""The sun that is to come: from the minutes in which direct sun lit the shelf to the time it is expected tomorrow."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo

from station.domain.moments import clock_text, day_text
from station.domain.readings import Reading
from station.domain.sun import Place, sun_position
from station.domain.sunwindow import SPELL_GAP, SunSpell, SunWindow, expected_sun, spells_of, sun_windows

NO_PLACE = "When the sun comes is not known: set lat_deg and lon_deg under [place] in the settings (see jarside init)."
_COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@dataclass(frozen=True, slots=True)
class Lit:
    """A stretch of the log in which the light was that of direct sun.

    Args:
        at: its middle, aware UTC.
        span_s: how long the reading stands for, seconds.
    """

    at: datetime
    span_s: float


@dataclass(frozen=True, slots=True)
class ComingSun:
    """From where the sun reaches the shelf, and when it will if the sky is clear.

    Args:
        windows: where it came from so far, in the order of the day.
        today, tomorrow: when it is expected on the local day of the present and the one after.
    """

    windows: tuple[SunWindow, ...]
    today: tuple[SunSpell, ...]
    tomorrow: tuple[SunSpell, ...]


def lit(reading: Reading, limit_lx: float) -> Lit | None:
    """Return the reading's stretch if its light was that of direct sun, `limit_lx` or more."""
    if reading.light_lx is None or reading.light_lx < limit_lx:
        return None
    return Lit(reading.measured_at - timedelta(seconds=0.5 * reading.span_s), reading.span_s)


def sun_spells(place: Place, stretches: Iterable[Lit]) -> tuple[SunSpell, ...]:
    """Return the spells of direct sun that lit stretches make up; a lamp at night is none.

    Args:
        place: where the shelf is.
        stretches: in order of time, of any cadence.
    """
    known = tuple(stretches)
    longest = timedelta(seconds=1.5 * max((one.span_s for one in known), default=0.0))
    spells = spells_of((one.at for one in known), max(SPELL_GAP, longest))
    return tuple(spell for spell in spells if sun_position(place, spell.began_at).elevation_deg > 0.0)


def coming_sun(
    place: Place, stretches: Iterable[Lit], now_at: datetime, zone: tzinfo, moved_at: datetime | None = None
) -> ComingSun:
    """Return from where the sun reaches the shelf, and when it will today and tomorrow if the sky is clear.

    Args:
        place: where the shelf is.
        stretches: when the light was that of direct sun, in order of time.
        now_at: the present, aware.
        zone: the zone in which people there count days.
        moved_at: when the station was put where it stands; what was seen before is forgotten.
    """
    windows = sun_windows(place, sun_spells(place, stretches), now_at, moved_at)
    today = now_at.astimezone(zone).date()
    next_day = today + timedelta(days=1)
    return ComingSun(windows, _expected(place, windows, today, zone), _expected(place, windows, next_day, zone))


def _expected(place: Place, windows: Iterable[SunWindow], day: date, zone: tzinfo) -> tuple[SunSpell, ...]:
    found = (expected_sun(place, window, day, zone) for window in windows)
    return tuple(spell for spell in found if spell is not None)


@dataclass(slots=True)
class SunSeen:
    """Notes where a log has direct sun while somebody else reads it.

    Args:
        limit_lx: the light of direct sun.
    """

    limit_lx: float
    _stretches: list[Lit] = field(default_factory=list)
    _last_at: datetime | None = None

    def watched(self, readings: Iterable[Reading]) -> Iterator[Reading]:
        """Yield the readings as they come, in order of time."""
        for reading in readings:
            self._last_at = reading.measured_at
            if (stretch := lit(reading, self.limit_lx)) is not None:
                self._stretches.append(stretch)
            yield reading

    def coming(self, place: Place | None, zone: tzinfo) -> ComingSun | None:
        """Return what the log tells of the sun, as of its end; None without a place or a reading."""
        if place is None or self._last_at is None:
            return None
        return coming_sun(place, self._stretches, self._last_at, zone)


def spells_text(spells: Iterable[SunSpell], zone: tzinfo) -> str:
    """Return times of sun as people read them: "15:10 to 15:40", several with "and"; "" if there are none."""
    return " and ".join(f"{clock_text(one.began_at, zone)} to {clock_text(one.ended_at, zone)}" for one in spells)


def tomorrow_text(sun: ComingSun, zone: tzinfo) -> str:
    """Say when the sun comes tomorrow: "Direct sun tomorrow 15:10 to 15:40 if the sky is clear."."""
    if not sun.windows:
        return "No direct sun has been seen here on two days yet."
    if not sun.tomorrow:
        return "No direct sun is expected tomorrow."
    return f"Direct sun tomorrow {spells_text(sun.tomorrow, zone)} if the sky is clear."


def window_text(window: SunWindow, zone: tzinfo) -> str:
    """Say from where the sun came: "from the south-west, azimuth 215° to 231°; seen on 9 days, last Thu 14 May"."""
    width_deg = (window.azimuth_to_deg - window.azimuth_from_deg) % 360.0
    middle_deg = window.azimuth_from_deg + 0.5 * width_deg
    side = _COMPASS[round(middle_deg / 45.0) % 8]
    azimuths = f"{window.azimuth_from_deg:.0f}° to {window.azimuth_to_deg:.0f}°"
    return (
        f"from the {side}, azimuth {azimuths}; seen on {window.days} days, last {day_text(window.last_seen_at, zone)}"
    )
