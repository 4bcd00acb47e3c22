"""What the set-up page shows: how sensors, clock, card and corrections are doing, and what was set."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from dashboard.backup_names import made_at
from dashboard.views.manner import Manner
from station.config import SensorSettings, Settings
from station.domain.correction_words import correction_text
from station.domain.corrections import Correction, due_again
from station.domain.figures import light_text, number_text, rh_text, temp_text
from station.domain.heartbeat import Heartbeat, has_stopped
from station.domain.moments import age_text, moment_text
from station.domain.readings import Reading
from station.domain.sentences import not_writing
from station.store.summaries import Samples

LITTLE_BYTES = 500_000_000
"""A card with less room than this is said to be nearly full: some ten years of log, but other programs write, too."""

Fact = tuple[str, str]


@dataclass(frozen=True, slots=True)
class CorrectionLine:
    """A correction that holds, and whether it wants doing again."""

    text: str
    age: str
    due: bool


@dataclass(frozen=True, slots=True)
class BackupLine:
    """A backup that was made here."""

    name: str
    made: str
    size: str


@dataclass(frozen=True, slots=True)
class SetUpView:
    """The set-up page."""

    station: tuple[Fact, ...]
    warnings: tuple[str, ...]
    sensors: tuple[Fact, ...]
    parts: tuple[Fact, ...]
    card: tuple[Fact, ...]
    corrections: tuple[CorrectionLine, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """Room on the card and the size of the files, in bytes; `free` None where it is not known."""

    free: int | None
    log: int
    notebook: int


@dataclass(frozen=True, slots=True)
class Health:
    """What is known of the station's health.

    Args:
        beat: the station's sign of life, or None before its first minute.
        latest: its latest reading, or None.
        samples: of the last day.
        card: room and sizes.
        corrections: those that hold.
    """

    beat: Heartbeat | None
    latest: Reading | None
    samples: Samples
    card: Card
    corrections: tuple[Correction, ...]


def setup_view(
    health: Health, settings: Settings, planned: Settings, version: str, now_at: datetime, manner: Manner
) -> SetUpView:
    """Return the set-up page.

    Args:
        health: what is known of the station.
        settings: in use, for the parts that are named there.
        planned: as they will be once the programs begin anew.
        version: of the pages.
        now_at: the present, aware.
        manner: zone and units.
    """
    return SetUpView(
        station=tuple(_station(health, version, now_at, manner)),
        warnings=tuple(_warnings(health, planned, version, now_at, manner)),
        sensors=tuple(_sensors(health, now_at, manner)),
        parts=tuple((part.name, _part(part)) for part in settings.sensors),
        card=tuple(_card(health.card)),
        corrections=tuple(_correction(one, now_at, manner) for one in health.corrections),
    )


def _station(health: Health, version: str, now_at: datetime, manner: Manner) -> Iterable[Fact]:
    beat = health.beat
    if beat is None:
        yield "Station", "not started yet" if health.latest is None else "no sign of life kept yet"
    else:
        last_at = beat.last_reading_at
        yield "Station", f"version {beat.version}, up {span_text(beat.uptime_s)}"
        yield "Last reading", "none yet" if last_at is None else _seen(last_at, now_at, manner)
        yield "Clock", "right" if beat.clock_trusted else "not known to be right"
    yield "Pages", f"version {version}"


def _seen(at: datetime, now_at: datetime, manner: Manner) -> str:
    return f"{moment_text(at, manner.zone)} ({age_text(max(now_at - at, timedelta(0)))})"


def _warnings(health: Health, planned: Settings, version: str, now_at: datetime, manner: Manner) -> Iterable[str]:
    beat, samples, free = health.beat, health.samples, health.card.free
    if beat is not None and has_stopped(beat.at, now_at):
        yield not_writing(beat.at, now_at, manner.zone)
    if beat is not None and not beat.clock_trusted:
        yield "The station's clock is not known to be right: connect it to the network, or set the clock."
    if samples.good_pct is not None and samples.good_pct < POOR_PCT:
        yield f"Only {number_text(samples.good_pct)} % of the samples were good. Ask each part: jarside probe."
    if beat is not None and beat.version != version:
        yield "Station and pages are of different versions: restart both."
    if free is not None and free < LITTLE_BYTES:
        yield f"The card is nearly full: {bytes_text(free)} free."
    if planned.place.known is None:
        yield "The place is not set: without it, neither sun nor picking times are known. Set it below."


POOR_PCT = 80.0


def _sensors(health: Health, now_at: datetime, manner: Manner) -> Iterable[Fact]:
    good_pct, reading = health.samples.good_pct, health.latest
    yield "Samples of the last day", "none" if good_pct is None else f"{number_text(good_pct)} % good"
    if reading is None:
        return
    yield "Temperature", "not measured" if reading.temp_c is None else temp_text(reading.temp_c, manner.unit)
    yield "Humidity", "not measured" if reading.rh_pct is None else rh_text(reading.rh_pct)
    yield "Light", "not measured" if reading.light_lx is None else light_text(reading.light_lx)
    for probe in reading.probes:
        yield f"Probe {probe.probe}", temp_text(probe.temp_c, manner.unit)
    yield "Measured", age_text(max(now_at - reading.measured_at, timedelta(0)))
    if health.samples.untrusted:
        yield "Times not trusted", f"{health.samples.untrusted} of {health.samples.readings} readings"


def _part(part: SensorSettings) -> str:
    at = "" if part.pin is None else f", pin {part.pin}"
    return f"{part.part}{at}, on {'a jar' if part.role == 'jar' else 'the shelf'}"


def _card(card: Card) -> Iterable[Fact]:
    yield "Free space", "not known" if card.free is None else bytes_text(card.free)
    yield "Shelf log", bytes_text(card.log)
    yield "Notebook", bytes_text(card.notebook)


def _correction(correction: Correction, now_at: datetime, manner: Manner) -> CorrectionLine:
    made = f"made {_seen(correction.made_at, now_at, manner)}"
    return CorrectionLine(correction_text(correction), made, due_again(correction, now_at))


def backup_line(path: Path, manner: Manner) -> BackupLine:
    """Return a backup as a line: its name, when it was made, and its size."""
    found = path.stat()
    return BackupLine(path.name, moment_text(made_at(path, manner.zone), manner.zone), bytes_text(found.st_size))


def bytes_text(count: int) -> str:
    """Return an amount of bytes: "2.4 GB", "180 MB", "12 kB"."""
    for size, name in ((1e9, "GB"), (1e6, "MB"), (1e3, "kB")):
        if count >= size:
            return f"{number_text(count / size, 1 if count < 10 * size else 0)} {name}"
    return f"{count} bytes"


def span_text(seconds: float) -> str:
    """Return how long something has lasted: "12 min", "5 h", "3 days"."""
    hours = seconds / 3600.0
    if hours < 2.0:
        return f"{number_text(seconds / 60.0)} min"
    return f"{number_text(hours)} h" if hours < 48.0 else f"{number_text(hours / 24.0)} days"
