"""What the JSON interface answers: times with offset, units in every name."""

from datetime import datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from dashboard.views.shelf import Level
from station.domain.alert import Alert
from station.domain.conditions import Kind, State
from station.domain.jars import Jar, Stage
from station.domain.outlook import Outlook
from station.domain.readings import Mark, Reading
from station.store.summaries import Bucket, Spread


class Model(BaseModel):
    """Strict: an answer that does not fit its description is an error here, not with the reader."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid")


class Problem(Model):
    """What went wrong, and what to do about it."""

    what: str
    remedy: str


class ReadingOut(Model):
    """One reading of the shelf, usually a minute; null means not measured."""

    measured_at: datetime = Field(description="End of the time it stands for.")
    span_s: float = Field(description="How many seconds it stands for.")
    temp_c: float | None = Field(description="Temperature, °C.")
    rh_pct: float | None = Field(description="Relative humidity, %.")
    light_lx: float | None = Field(description="Illuminance, lx.")
    good: int = Field(description="Samples that were used.")
    missed: int = Field(description="Samples that were missed or dropped.")
    trusted: bool = Field(description="Whether the clock was known to be right.")
    marks: list[str] = Field(description="What is remarkable: saturated, sunlit, stuck, doubted, imported.")

    @classmethod
    def of(cls, reading: Reading) -> "ReadingOut":
        """Return a reading as it is answered."""
        return cls(
            measured_at=reading.measured_at,
            span_s=reading.span_s,
            temp_c=reading.temp_c,
            rh_pct=reading.rh_pct,
            light_lx=reading.light_lx,
            good=reading.good,
            missed=reading.missed,
            trusted=reading.trusted,
            marks=[str(mark.name).lower() for mark in Mark if mark in reading.marks],
        )


class ConditionOut(Model):
    """Where one condition of the shelf stands."""

    kind: Kind
    raised: bool
    since_at: datetime | None = Field(description="When its cause began.")
    value: float | None = Field(description="Last value: °C, lx, or %RH above the mould-critical humidity for damp.")
    peak: float | None = Field(description="Worst value since the cause began, in the same unit.")

    @classmethod
    def of(cls, state: State) -> "ConditionOut":
        """Return a condition as it is answered."""
        return cls(kind=state.kind, raised=state.raised, since_at=state.since_at, value=state.value, peak=state.peak)


class ShelfOut(Model):
    """How the shelf is now."""

    station: str
    now_at: datetime
    verdict: str = Field(description="One sentence, in the units of the settings.")
    level: Level = Field(description="good, watch, act, or off when the station does not write.")
    reading: ReadingOut | None
    conditions: list[ConditionOut]


class NeedOut(Model):
    """How many warm-days a jar needs, as 10, 50 and 90 %."""

    low: float
    likely: float
    high: float


class ReadyOut(Model):
    """When a jar is ready, as 10, 50 and 90 %; null beyond the forecast's horizon."""

    early: datetime | None
    likely: datetime | None
    late: datetime | None


class OutlookOut(Model):
    """What the station thinks of a jar."""

    judged_at: datetime
    degree_hours: float = Field(description="Warmth so far above 7 °C, °C·h.")
    warm_days: float = Field(description="Warmth so far in days at 20 °C.")
    observed_h: float = Field(description="Hours that were measured.")
    missing_h: float = Field(description="Hours of which nothing is known.")
    temp_c: float | None = Field(description="The jar's own temperature, °C.")
    need: NeedOut
    ready: ReadyOut
    ready_at: datetime | None = Field(description="When its warmth reached the likely need.")
    strain_evening: datetime | None
    chance_ready: float = Field(description="0 to 1.")
    chance_past: float = Field(description="0 to 1.")
    caveats: list[str]

    @classmethod
    def of(cls, outlook: Outlook) -> "OutlookOut":
        """Return an outlook as it is answered."""
        warmth = outlook.heat.warmth
        return cls(
            judged_at=outlook.judged_at,
            degree_hours=warmth.degree_hours(),
            warm_days=warmth.warm_days(),
            observed_h=warmth.observed_h,
            missing_h=warmth.missing_h,
            temp_c=outlook.heat.temp_c,
            need=NeedOut(low=outlook.need_low, likely=outlook.need_likely, high=outlook.need_high),
            ready=ReadyOut(early=outlook.ready_early_at, likely=outlook.ready_likely_at, late=outlook.ready_late_at),
            ready_at=outlook.ready_at,
            strain_evening=outlook.evening_at,
            chance_ready=outlook.chance_ready,
            chance_past=outlook.chance_past,
            caveats=list(outlook.caveats),
        )


class JarOut(Model):
    """One jar."""

    id: str
    plant: str
    stage: Stage
    packed_at: datetime
    jar_ml: float = Field(description="The jar's volume, mL.")
    plant_g: float | None = Field(description="Plant, g.")
    sugar_g: float | None = Field(description="Sugar, g.")
    strained_at: datetime | None
    bottled_at: datetime | None
    discarded_at: datetime | None
    juice_ml: float | None = Field(description="Juice collected, mL.")
    judgement: str | None
    outlook: OutlookOut | None = Field(description="Null before the station's first minute with this jar.")

    @classmethod
    def of(cls, jar: Jar, stands: Stage, outlook: Outlook | None) -> "JarOut":
        """Return a jar as it is answered."""
        return cls(
            id=jar.id,
            plant=jar.plant,
            stage=stands,
            packed_at=jar.packed_at,
            jar_ml=jar.jar_ml,
            plant_g=jar.plant_g,
            sugar_g=jar.sugar_g,
            strained_at=jar.strained_at,
            bottled_at=jar.bottled_at,
            discarded_at=jar.discarded_at,
            juice_ml=jar.juice_ml,
            judgement=None if jar.judgement is None else str(jar.judgement),
            outlook=None if outlook is None else OutlookOut.of(outlook),
        )


class SpreadOut(Model):
    """Least, mean and greatest value."""

    low: float
    mean: float
    high: float

    @classmethod
    def of(cls, spread: Spread | None) -> "SpreadOut | None":
        """Return a spread as it is answered; None stays None."""
        return None if spread is None else cls(low=spread.low, mean=spread.mean, high=spread.high)


class StepOut(Model):
    """One step of a course; null means not measured."""

    start_at: datetime
    temp_c: SpreadOut | None = Field(description="°C")
    rh_pct: SpreadOut | None = Field(description="%")
    light_lx: SpreadOut | None = Field(description="lx")
    count: int = Field(description="Readings in it.")

    @classmethod
    def of(cls, bucket: Bucket) -> "StepOut":
        """Return a step as it is answered."""
        return cls(
            start_at=bucket.start_at,
            temp_c=SpreadOut.of(bucket.temp_c),
            rh_pct=SpreadOut.of(bucket.rh_pct),
            light_lx=SpreadOut.of(bucket.light_lx),
            count=bucket.count,
        )


class ClimateOut(Model):
    """The course of the shelf over a day or a week; steps in which nothing was written are left out."""

    span: Literal["day", "week"]
    since_at: datetime
    until_at: datetime
    step_s: float
    steps: list[StepOut]


class AlertOut(Model):
    """One alert."""

    id: str
    kind: str
    jar: str | None
    text: str = Field(description="One sentence, in the units of the settings.")
    raised_at: datetime
    since_at: datetime
    cleared_at: datetime | None
    acknowledged_at: datetime | None
    put_off_until_at: datetime | None
    value: float | None = Field(description="The value that raised it, in the unit of its kind.")
    peak: float | None = Field(description="The worst value so far.")

    @classmethod
    def of(cls, alert: Alert, text: str) -> "AlertOut":
        """Return an alert as it is answered."""
        return cls(
            id=alert.id,
            kind=str(alert.kind),
            jar=alert.jar_id or None,
            text=text,
            raised_at=alert.raised_at,
            since_at=alert.since_at,
            cleared_at=alert.cleared_at,
            acknowledged_at=alert.acknowledged_at,
            put_off_until_at=alert.put_off_until_at,
            value=alert.value,
            peak=alert.peak,
        )


class StatusOut(Model):
    """How the station and these pages are."""

    station: str
    version: str
    now_at: datetime
    writing: bool = Field(description="Whether the station has written within the last five minutes.")
    last_reading_at: datetime | None
    age_s: float | None = Field(description="Seconds since the last reading.")
    clock_trusted: bool | None
    free_bytes: int | None = Field(description="Free space where the data lies.")
