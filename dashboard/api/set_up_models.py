"""Set-up as programs read it: how the station is doing, what corrects its sensors, and what is set."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

from pydantic import Field, Strict

from dashboard.api.asking import Sent, Time
from dashboard.api.models import Model, WayOut
from dashboard.backup_names import made_at
from dashboard.views.settings import Change
from dashboard.views.setup import Card
from station.config import SensorSettings, Settings
from station.domain.corrections import Correction, Quantity, due_again
from station.domain.heartbeat import Heartbeat
from station.store.summaries import Samples


class HeartbeatOut(Model):
    """The station's last sign of life."""

    at: datetime
    version: str
    uptime_s: float = Field(description="Since it started, seconds.")
    clock_trusted: bool = Field(description="Whether its clock is known to be right.")
    last_reading_at: datetime | None

    @classmethod
    def of(cls, beat: Heartbeat) -> "HeartbeatOut":
        """Return a sign of life as it is answered."""
        return cls(
            at=beat.at,
            version=beat.version,
            uptime_s=beat.uptime_s,
            clock_trusted=beat.clock_trusted,
            last_reading_at=beat.last_reading_at,
        )


class SamplesOut(Model):
    """How the sensors did in the last day."""

    good: int = Field(description="Samples that were used.")
    missed: int = Field(description="Samples that were missed or dropped.")
    good_pct: float | None = Field(description="Share of good samples, %; null where none was asked for.")
    readings: int
    untrusted: int = Field(description="Readings taken while the clock was not known to be right.")

    @classmethod
    def of(cls, samples: Samples) -> "SamplesOut":
        """Return a day of samples as it is answered."""
        return cls(
            good=samples.good,
            missed=samples.missed,
            good_pct=samples.good_pct,
            readings=samples.readings,
            untrusted=samples.untrusted,
        )


class PartOut(Model):
    """One part that measures, as the settings name it."""

    name: str
    part: str
    role: str = Field(description="What it measures: shelf or jar.")
    pin: int | None

    @classmethod
    def of(cls, part: SensorSettings) -> "PartOut":
        """Return a part as it is answered."""
        return cls(name=part.name, part=part.part, role=part.role, pin=part.pin)


class CardOut(Model):
    """Room on the card and the size of the files."""

    free_bytes: int | None = Field(description="Free space where the data lies, bytes.")
    log_bytes: int = Field(description="Shelf log, bytes.")
    notebook_bytes: int = Field(description="Notebook, bytes.")

    @classmethod
    def of(cls, card: Card) -> "CardOut":
        """Return a card as it is answered."""
        return cls(free_bytes=card.free, log_bytes=card.log, notebook_bytes=card.notebook)


class CorrectionOut(Model):
    """A correction that holds."""

    sensor: str
    quantity: Quantity
    gain: float = Field(description="Slope; for light, of the logarithms.")
    offset: float = Field(description="Added after the gain: %RH; for light, to the logarithm.")
    residual: float = Field(description="How far its points lie off the line: %RH; for light, a share of the value.")
    points: int = Field(description="How many known values it was drawn through.")
    made_at: datetime
    due_again: bool = Field(description="Whether it is so old that it wants doing again.")

    @classmethod
    def of(cls, correction: Correction, now_at: datetime) -> "CorrectionOut":
        """Return a correction as it is answered."""
        return cls(
            sensor=correction.sensor,
            quantity=correction.quantity,
            gain=correction.gain,
            offset=correction.offset,
            residual=correction.residual,
            points=len(correction.points),
            made_at=correction.made_at,
            due_again=due_again(correction, now_at),
        )


Number = Annotated[float, Strict()]
Clock = Annotated[str, Field(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]
"""A local time of day, such as 19:00."""


class SettableLimits(Sent):
    """Where conditions are raised."""

    cold_c: Number = Field(description="Too cold below, °C.")
    hot_c: Number = Field(description="Too hot above, °C; more than a degree above too cold.")
    sun_lx: Number = Field(description="Direct sun from, lx.")
    bright_lx: Number = Field(description="Bright from, lx.")
    damp_margin_pct: Number = Field(description="Damp from so far below the mould-critical humidity, %RH.")
    silent_min: Number = Field(description="Silent after, minutes.")


class Settable(Sent):
    """What can be set on the pages: told in the same form in which it is sent back."""

    lat_deg: Number | None = Field(
        description="Latitude, degrees north; goes together with the longitude. To send null for both has the place of "
        "the settings file again, and does not remove it."
    )
    lon_deg: Number | None = Field(description="Longitude, degrees east.")
    zone: Annotated[str, Field(max_length=80)] = Field(description="Time zone of the IANA list, such as Europe/Lisbon.")
    temperature: Literal["C", "F"] = Field(description="How pages write temperatures.")
    amounts: Literal["metric", "us"] = Field(description="How pages write amounts.")
    limits: SettableLimits
    evening: Clock = Field(description="When jars are strained, local time, such as 19:00.")
    drip_until: Clock = Field(description="Until when they drip, local time, such as 07:00.")
    days_away: list[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]] = Field(
        description="Days without straining; not all of them."
    )

    @classmethod
    def of(cls, settings: Settings) -> "Settable":
        """Return settings as they are told."""
        place, units, strain = settings.place, settings.units, settings.strain
        return cls(
            lat_deg=place.lat_deg,
            lon_deg=place.lon_deg,
            zone=place.zone,
            temperature=units.temperature,
            amounts=units.amounts,
            limits=SettableLimits(**settings.limits.model_dump()),
            evening=f"{strain.evening:%H:%M}",
            drip_until=f"{strain.drip_until:%H:%M}",
            days_away=list(strain.days_away),
        )


class MovedIn(Sent):
    """The station was put elsewhere, or turned: what the sun did before no longer counts."""

    at: Time | None = Field(None, description="When; now if left out.")


class MovedOut(Model):
    """When the station was last put elsewhere."""

    moved_at: datetime | None


class ChangeOut(Model):
    """What was set and is not in use before the programs start again."""

    name: str = Field(description="Section and key of the settings file, such as limits.cold_c.")
    used: str = Field(description="As it is in use, in words.")
    set: str = Field(description="As it will be, in words.")

    @classmethod
    def of(cls, change: Change) -> "ChangeOut":
        """Return a change as it is answered."""
        return cls(name=change.name, used=change.used, set=change.set)


class BackupOut(Model):
    """A backup that was made on the pages."""

    name: str
    made_at: datetime
    size_bytes: int = Field(description="Bytes.")

    @classmethod
    def of(cls, path: Path, zone: ZoneInfo) -> "BackupOut":
        """Return a backup as it is answered; `zone` is that of its name."""
        return cls(name=path.name, made_at=made_at(path, zone).astimezone(UTC), size_bytes=path.stat().st_size)


class SetUpOut(Model):
    """How everything is: station, sensors, card, ways, corrections, settings and backups."""

    station: str
    version: str = Field(description="Of the pages.")
    now_at: datetime
    heartbeat: HeartbeatOut | None = Field(description="Null before the station's first minute.")
    warnings: list[str]
    samples: SamplesOut
    parts: list[PartOut]
    card: CardOut
    ways: list[WayOut]
    corrections: list[CorrectionOut]
    set: Settable = Field(description="What can be set on the pages, as it is in use.")
    waiting: list[ChangeOut]
    moved_at: datetime | None = Field(description="When the station was last put elsewhere.")
    backups: list[BackupOut] = Field(description="The newest first.")
