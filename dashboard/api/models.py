"""What the JSON interface answers: times with offset, units in every name."""

from datetime import datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from dashboard.views.shelf import Level
from dashboard.views.spans import Span
from dashboard.views.todo import Todo
from station.domain.coming_sun import ComingSun
from station.domain.conditions import Kind, State
from station.domain.readings import Mark, Reading
from station.domain.sun import PickingWindow
from station.domain.sunwindow import SunSpell
from station.domain.survey import Spot, spot_verdict
from station.domain.way import Way, WayState
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
    value: float | None = Field(
        description="Last value: °C, lx, or %RH above the mould-critical humidity for damp; null for silent."
    )
    peak: float | None = Field(description="Worst value since the cause began, in the same unit.")

    @classmethod
    def of(cls, state: State) -> "ConditionOut":
        """Return a condition as it is answered."""
        value, peak = (state.value, state.peak) if state.kind.unit else (None, None)
        return cls(kind=state.kind, raised=state.raised, since_at=state.since_at, value=value, peak=peak)


class ShelfOut(Model):
    """How the shelf is now."""

    station: str
    now_at: datetime
    verdict: str = Field(description="One sentence, in the units of the settings.")
    level: Level = Field(description="good, watch, act, or off when the station does not write.")
    reading: ReadingOut | None
    conditions: list[ConditionOut]


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
    span_s: float = Field(description="How many seconds it stands for.")
    temp_c: SpreadOut | None = Field(description="°C")
    rh_pct: SpreadOut | None = Field(description="%")
    light_lx: SpreadOut | None = Field(description="lx")
    count: int = Field(description="Readings in it.")

    @classmethod
    def of(cls, bucket: Bucket) -> "StepOut":
        """Return a step as it is answered."""
        return cls(
            start_at=bucket.start_at,
            span_s=bucket.span_s,
            temp_c=SpreadOut.of(bucket.temp_c),
            rh_pct=SpreadOut.of(bucket.rh_pct),
            light_lx=SpreadOut.of(bucket.light_lx),
            count=bucket.count,
        )


class ClimateOut(Model):
    """The course of the shelf; the first step may begin before it, those in which nothing was written are left out."""

    span: Span
    since_at: datetime
    until_at: datetime
    steps: list[StepOut]


class SpotOut(Model):
    """What a stretch of the log says about the place of the shelf; all times in hours."""

    verdict: str = Field(description="One sentence.")
    covered_h: float = Field(description="Hours in which anything was measured.")
    measured_h: float = Field(description="Hours with a believable temperature.")
    good_h: float = Field(description="Hours of those within the good range, 18.3 to 23.9 °C.")
    light_h: float = Field(description="Hours with light: where there are none, nothing is known of sun and bright.")
    rh_h: float = Field(description="Hours with humidity: where there are none, nothing is known of damp.")
    condition_h: dict[str, float] = Field(description="Hours under each condition; one that never was is left out.")
    sunlit_h: float = Field(description="Hours in which direct sun lit the sensor.")
    warm_days_a_day: float | None = Field(description="How fast a jar would work here, in days at 20 °C.")
    least_c: float | None = Field(description="Lowest temperature, °C.")
    mean_c: float | None = Field(description="Mean temperature, °C.")
    most_c: float | None = Field(description="Highest temperature, °C.")

    @classmethod
    def of(cls, spot: Spot) -> "SpotOut":
        """Return a spot as it is answered."""
        return cls(
            verdict=spot_verdict(spot),
            covered_h=spot.covered_h,
            measured_h=spot.measured_h,
            good_h=spot.good_h,
            light_h=spot.light_h,
            rh_h=spot.rh_h,
            condition_h={str(kind): hours for kind, hours in spot.condition_h.items()},
            sunlit_h=spot.sunlit_h,
            warm_days_a_day=spot.warm_days_a_day,
            least_c=spot.least_c,
            mean_c=spot.mean_c,
            most_c=spot.most_c,
        )


class OtherSpotOut(Model):
    """What a log file from elsewhere says about its place."""

    name: str
    spot: SpotOut
    rejected: int = Field(description="Rows that could not be used, and were left out.")


class TodoOut(Model):
    """One thing to do."""

    urgency: Literal["now", "today", "tomorrow", "later"]
    text: str = Field(description="One sentence or two.")
    page: str = Field(description="The path of the page on which it is written down, such as /jars/comfrey-1/strain.")

    @classmethod
    def of(cls, todo: Todo) -> "TodoOut":
        """Return a thing to do as it is answered."""
        return cls.model_validate({"urgency": todo.urgency.name.lower(), "text": todo.text, "page": todo.href})


class StretchOut(Model):
    """From when to when."""

    begins_at: datetime
    ends_at: datetime


class SunOut(Model):
    """What the sun does next; null or empty where it is not known."""

    picking: StretchOut | None = Field(description="The next hours to pick in, while dew is on.")
    seen: bool = Field(description="Whether direct sun was seen on the shelf often enough to say when it comes.")
    today: list[StretchOut] = Field(description="When it falls on the shelf today if the sky is clear.")
    tomorrow: list[StretchOut] = Field(description="The same for tomorrow.")

    @classmethod
    def of(cls, picking: PickingWindow | None, sun: ComingSun | None) -> "SunOut":
        """Return what is known of the sun as it is answered."""
        return cls(
            picking=None if picking is None else StretchOut(begins_at=picking.begins_at, ends_at=picking.ends_at),
            seen=sun is not None and bool(sun.windows),
            today=[] if sun is None else _spells(sun.today),
            tomorrow=[] if sun is None else _spells(sun.tomorrow),
        )


def _spells(spells: tuple[SunSpell, ...]) -> list[StretchOut]:
    return [StretchOut(begins_at=one.began_at, ends_at=one.ended_at) for one in spells]


class WayOut(Model):
    """One way on which the station reaches people and programs."""

    name: str
    state: WayState
    line: str = Field(description="One sentence about it.")
    remedy: str = Field(description="What to do about it; empty if there is nothing to do.")
    delivered_at: datetime | None = Field(description="When something last arrived on it.")
    by_test: bool = Field(description="Whether that was a test that a person or a program sent.")
    waiting: int = Field(description="Messages that wait for it.")

    @classmethod
    def of(cls, way: Way) -> "WayOut":
        """Return a way as it is answered."""
        return cls(
            name=way.name,
            state=way.state,
            line=way.line,
            remedy=way.remedy,
            delivered_at=way.delivered_at,
            by_test=way.by_test,
            waiting=way.waiting,
        )


class StatusOut(Model):
    """How the station and these pages are."""

    station: str
    version: str
    now_at: datetime
    writing: bool = Field(description="Whether the station has written within the last three minutes.")
    last_reading_at: datetime | None
    age_s: float | None = Field(description="Seconds since the last reading.")
    clock_trusted: bool | None
    free_bytes: int | None = Field(description="Free space where the data lies, bytes.")
    ways: list[WayOut]
