"""Trials as programs read and record them: shares and probabilities from 0 to 1, times in days."""

from datetime import datetime
from typing import Annotated

from pydantic import Field

from dashboard.api.asking import WHOLE, Reference, Sent, ShortName, Time, Words
from dashboard.api.models import Model
from station.domain.germination import ArmResult, Comparison, trial_result
from station.domain.shares import Span
from station.domain.trials import Trial
from station.domain.verdicts import Finding, finding, verdict_sentences

Seeds = Annotated[int, Field(ge=1, le=1000, strict=True), WHOLE]


class SpanOut(Model):
    """A value with its 95 % range."""

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, span: Span) -> "SpanOut":
        """Return a range as it is answered."""
        return cls(value=span.value, low=span.low, high=span.high)


class DishOut(Model):
    """One dish: seeds sown, and germinated by the last count."""

    sown: int
    germinated: int


class ArmOut(Model):
    """What came of one way of treating the seeds."""

    name: str
    sown: int
    germinated: int
    share: SpanOut = Field(description="Germinated of sown, 0 to 1.")
    mean_days: float | None = Field(description="Mean time to germination, days.")
    dishes: list[DishOut]

    @classmethod
    def of(cls, arm: ArmResult) -> "ArmOut":
        """Return an arm as it is answered."""
        return cls(
            name=arm.name,
            sown=arm.sown,
            germinated=arm.germinated,
            share=SpanOut.of(arm.share),
            mean_days=arm.mean_days,
            dishes=[DishOut(sown=dish.sown, germinated=int(dish.germinated)) for dish in arm.dishes],
        )


class ComparisonOut(Model):
    """One arm against the control."""

    arm: str
    control: str
    difference: SpanOut = Field(description="Of the shares, -1 to 1.")
    fisher: float | None = Field(description="Probability of a difference as large by chance, Fisher's exact test.")
    boschloo: float | None = Field(description="The same by Boschloo's test.")
    adjusted: float | None = Field(description="After allowing for several comparisons (Holm).")
    finding: Finding

    @classmethod
    def of(cls, one: Comparison) -> "ComparisonOut":
        """Return a comparison as it is answered."""
        return cls(
            arm=one.arm,
            control=one.control,
            difference=SpanOut.of(one.difference),
            fisher=one.fisher,
            boschloo=one.boschloo,
            adjusted=one.adjusted,
            finding=finding(one),
        )


class CountOut(Model):
    """How many had germinated by then, all told; dishes are numbered from 1."""

    at: datetime
    arm: str
    dish: int
    germinated: int


class TrialOut(Model):
    """One trial, and what it has shown so far."""

    id: str
    seeds: str
    sown_at: datetime
    ended_at: datetime | None
    control: str
    bottle: str | None
    treatment: str
    arms: list[ArmOut]
    comparisons: list[ComparisonOut]
    design_effect: float | None = Field(description="By how much dishes differ more than seeds would.")
    needed_for_20_points: int = Field(description="Seeds each arm needs to see 20 points of 100 of difference.")
    counts: list[CountOut]
    verdict: list[str] = Field(description="In plain words.")
    note: str
    end_note: str = Field(description="What was said when it ended.")

    @classmethod
    def of(cls, trial: Trial) -> "TrialOut":
        """Return a trial as it is answered."""
        result = trial_result(trial)
        return cls(
            id=trial.id,
            seeds=trial.seeds,
            sown_at=trial.sown_at,
            ended_at=trial.ended_at,
            control=trial.control,
            bottle=trial.bottle_id or None,
            treatment=trial.treatment,
            arms=[ArmOut.of(arm) for arm in result.arms],
            comparisons=[ComparisonOut.of(one) for one in result.comparisons],
            design_effect=result.design_effect,
            needed_for_20_points=result.needed,
            counts=[CountOut(at=one.at, arm=one.arm, dish=one.dish, germinated=one.germinated) for one in trial.counts],
            verdict=list(verdict_sentences(trial, result)),
            note=trial.note,
            end_note=trial.end_note,
        )


class ArmIn(Sent):
    """One way of treating the seeds."""

    name: ShortName
    dishes: list[Seeds] = Field(min_length=1, max_length=20, description="Seeds sown in each dish.")


class SowIn(Sent):
    """A trial that was sown."""

    seeds: ShortName = Field(description="What was sown.")
    at: Time | None = Field(None, description="When; now if left out.")
    arms: list[ArmIn] = Field(min_length=2, max_length=8)
    control: ShortName | None = Field(
        None, description="The arm to compare with; else one called plain, water or control, else the last."
    )
    bottle: Reference | None = Field(None, description="The juice used, or a beginning of its id.")
    treatment: Words = Field("", description="How they were treated, such as 1 to 500, 20 minutes.")
    note: Words = ""


class CountIn(Sent):
    """How many seeds of one dish had germinated by then, all told."""

    arm: ShortName
    dish: Annotated[int, Field(ge=1, le=20, strict=True), WHOLE] = Field(1, description="Numbered from 1.")
    germinated: Annotated[int, Field(ge=0, le=1000, strict=True), WHOLE]


class CountsIn(Sent):
    """What was counted at one time, all of it or nothing."""

    at: Time | None = Field(None, description="When; now if left out.")
    counts: list[CountIn] = Field(min_length=1, max_length=160)


class EndIn(Sent):
    """No more counts are to come."""

    at: Time | None = Field(None, description="When; now if left out.")
    note: Words = ""
