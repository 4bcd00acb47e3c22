"""A replay as programs read it: what a stretch of the log came to, and would have come to with something supposed."""

from collections.abc import Mapping
from datetime import datetime

from pydantic import Field

from dashboard.api.alerts import AlertOut
from dashboard.api.jar_models import OutlookOut
from dashboard.api.models import Model, ReadingOut
from dashboard.playing import Moment, Played
from station.domain.conditions import Kind
from station.domain.jars import Jar
from station.domain.outlook import Outlook


class PlayedJarOut(Model):
    """What the play came to for a jar, as if it had been left standing."""

    id: str
    plant: str
    strain_evening: datetime | None = Field(description="When it would have been strained, once that evening came.")
    outlook: OutlookOut = Field(description="What the station would have thought of it at the end.")


class PlayedMomentOut(Model):
    """How the shelf would have been at one moment."""

    at: datetime
    reading: ReadingOut
    raised: list[Kind] = Field(description="The conditions that held.")
    alerts: list[str] = Field(description="The ids of the alerts that were open.")
    warm_days: dict[str, float] = Field(description="Each jar's warmth so far, in days at 20 °C, by its id.")

    @classmethod
    def of(cls, moment: Moment) -> "PlayedMomentOut":
        """Return a moment as it is answered."""
        return cls(
            at=moment.at,
            reading=ReadingOut.of(moment.reading),
            raised=list(moment.raised),
            alerts=list(moment.alerts),
            warm_days={outlook.jar_id: outlook.warm_days for outlook in moment.outlooks},
        )


class PlayedOut(Model):
    """What one play came to."""

    readings: int = Field(description="How many were played.")
    alerts: list[AlertOut] = Field(description="Every alert that was open at some time of the stretch, in order.")
    condition_h: dict[str, float] = Field(description="Hours under each condition; one that never was is left out.")
    jars: list[PlayedJarOut]
    moments: list[PlayedMomentOut] = Field(description="Evenly spread, in order of time; empty unless asked for.")

    @classmethod
    def of(cls, played: Played, alerts: list[AlertOut], jars: Mapping[str, Jar], *, moments: bool) -> "PlayedOut":
        """Return a play as it is answered."""
        evenings = dict(played.evenings)
        return cls(
            readings=played.count,
            alerts=alerts,
            condition_h={str(kind): hours for kind, hours in played.condition_h},
            jars=[_jar(one, jars[one.jar_id], evenings.get(one.jar_id)) for one in played.outlooks],
            moments=[PlayedMomentOut.of(one) for one in played.moments] if moments else [],
        )


def _jar(outlook: Outlook, jar: Jar, evening_at: datetime | None) -> PlayedJarOut:
    return PlayedJarOut(id=jar.id, plant=jar.plant, strain_evening=evening_at, outlook=OutlookOut.of(outlook))


class SupposedOut(Model):
    """What is supposed to have been otherwise; null and 0 are as it was."""

    cold_c: float | None = Field(description="Too cold below, °C.")
    hot_c: float | None = Field(description="Too hot above, °C.")
    shift_c: float = Field(description="So much warmer, °C.")


class ReplayOut(Model):
    """A stretch of the log played through the station's rules, in steps of up to five minutes."""

    since_at: datetime
    until_at: datetime
    supposed: SupposedOut
    lessons: list[str] = Field(description="What would have been different, in plain words; empty if nothing is asked.")
    as_it_was: PlayedOut
    what_if: PlayedOut | None = Field(description="With what is supposed; null if nothing is.")
    gone: list[str] = Field(description="Jars of the play that were strained or discarded in it: as if left standing.")
    left_out: list[str] = Field(description="Jars that stood for too long before the stretch to be played.")
