"""Feedings and rounds as programs read and record them: volumes in mL, ratio in parts of water to one of juice."""

from datetime import date, datetime
from typing import Annotated

from pydantic import Field

from dashboard.api.asking import WHOLE, Day, Millilitres, Parts, Reference, Sent, Time, Words, Yes
from dashboard.api.models import Model
from station.domain.dilution import USUAL_PARTS
from station.domain.feeding import Fed, Method, SoakState, soak_from
from station.domain.rounds import LEAST_DAYS, MOST_DAYS, Due, Round, Standing

Days = Annotated[int, Field(ge=1, le=366, strict=True), WHOLE]


class FedOut(Model):
    """One feeding."""

    id: str
    at: datetime
    method: Method
    juice_ml: float = Field(description="Juice, mL.")
    water_ml: float = Field(description="Water, mL.")
    place: str = Field(description="Where, or to which plants.")
    bottle: str | None
    round: str | None
    until_at: datetime | None = Field(description="When a soak ended.")
    note: str

    @classmethod
    def of(cls, fed: Fed) -> "FedOut":
        """Return a feeding as it is answered."""
        return cls(
            id=fed.feeding_id,
            at=fed.at,
            method=fed.method,
            juice_ml=fed.juice_ml,
            water_ml=fed.water_ml,
            place=fed.place,
            bottle=fed.bottle_id or None,
            round=fed.round_id or None,
            until_at=fed.until_at,
            note=fed.note,
        )


class FedIn(Sent):
    """Diluted juice was given; it is drawn from its bottle."""

    at: Time | None = Field(None, description="When, of a soak its begin; now if left out.")
    method: Method
    juice_ml: Millilitres = Field(description="Juice, mL.")
    water_ml: Annotated[float, Field(ge=0, le=1_000_000, strict=True)] = Field(description="Water, mL.")
    place: Words = Field("", description="Where, or to which plants.")
    bottle: Reference | None = Field(None, description="The bottle the juice came from, or a beginning of its id.")
    round: Reference | None = Field(None, description="The round it belongs to, or a beginning of its id.")
    until_at: Time | None = Field(None, description="When a soak ended.")
    note: Words = ""
    anyway: Yes = Field(False, description="Record it even if the bottle has less left.")


class TakenOutIn(Sent):
    """Seeds were taken out of the juice."""

    at: Time | None = Field(None, description="When; now if left out.")


class SoakOut(Model):
    """Seeds that are in the juice now, as far as is known."""

    feeding: str
    place: str = Field(description="Which seeds.")
    from_at: datetime
    ready_at: datetime = Field(description="From then on they may come out.")
    latest_at: datetime = Field(description="By then they must.")
    state: SoakState

    @classmethod
    def of(cls, fed: Fed, now_at: datetime) -> "SoakOut":
        """Return a soak as it is answered."""
        soak = soak_from(fed.at)
        return cls(
            feeding=fed.feeding_id,
            place=fed.place,
            from_at=soak.from_at,
            ready_at=soak.ready_at,
            latest_at=soak.latest_at,
            state=soak.state(now_at),
        )


class AdviceNowOut(Model):
    """Whether now is a good time for a way of feeding."""

    method: Method
    good: bool
    text: str


class FeedingNowOut(Model):
    """What matters at the can just now."""

    soaks: list[SoakOut]
    advice: list[AdviceNowOut]


class RoundOut(Model):
    """A feeding that comes again, and when the next one is due."""

    id: str
    method: Method
    place: str = Field(description="Where, or to which plants.")
    standing: Standing
    from_on: date = Field(description="The next one is due from this local day on.")
    until_on: date = Field(description="The last day on which it is in time.")
    least_days: int
    most_days: int
    parts: float = Field(description="Parts of water to one of juice.")
    water_ml: float | None = Field(description="Water each time, mL; null where it differs.")
    done_at: list[datetime]
    skipped_at: list[datetime]
    stopped_at: datetime | None
    note: str

    @classmethod
    def of(cls, found: Round, due: Due) -> "RoundOut":
        """Return a round as it is answered."""
        rule = found.rule
        return cls(
            id=found.id,
            method=rule.method,
            place=rule.place,
            standing=due.standing,
            from_on=due.from_on,
            until_on=due.until_on,
            least_days=rule.least_days,
            most_days=rule.most_days,
            parts=rule.parts,
            water_ml=rule.water_ml,
            done_at=list(found.done_at),
            skipped_at=list(found.skipped_at),
            stopped_at=found.stopped_at,
            note=rule.note,
        )


class RoundIn(Sent):
    """A round to be set up."""

    method: Method = Method.LEAF_SPRAY
    place: Words = Field("", description="Where, or to which plants.")
    least_days: Days = Field(LEAST_DAYS, description="Days from one to the next, at least.")
    most_days: Days = Field(MOST_DAYS, description="The same, at most.")
    parts: Parts = Field(USUAL_PARTS, description="Parts of water to one of juice.")
    water_ml: Millilitres | None = Field(None, description="Water each time, mL.")
    first_on: Day | None = Field(None, description="Local day of the first one; today if left out.")
    note: Words = ""


class LeftOutIn(Sent):
    """Why a feeding was left out, or a round ended."""

    at: Time | None = Field(None, description="When; now if left out.")
    reason: Words = Field("", description="Rain, or whatever it was.")
