"""The arithmetic of the kitchen: what is known of the plants, weigh and mix, dilute."""

import math
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import Field

from dashboard.api.asking import NO_FIT, QueryError, area
from dashboard.api.models import Model
from dashboard.desk import Desk
from station.domain.batch import Batch, batch_of, contents_from, ratio_of
from station.domain.blends import plants_in
from station.domain.cautions import Step, cautions_for
from station.domain.dilution import (
    USUAL_PARTS,
    Cans,
    Dilution,
    Measured,
    Ratio,
    diluted,
    strength_note,
    thinned_to,
)
from station.domain.mix import expected_juice_ml
from station.domain.packing import ratio_warning
from station.domain.plants import Moisture, Plant, all_plants
from station.domain.power import POINTS, plan_for


class PlantOut(Model):
    """What is known of a plant."""

    name: str
    moisture: Moisture
    ratio: float = Field(description="Parts of plant to one of sugar, by weight.")
    parts: str = Field(description="What is used of it.")
    picking: str
    cautions: list[str]
    also: list[str] = Field(description="Other names by which it is found.")
    own: bool = Field(description="Whether the grower added it.")

    @classmethod
    def of(cls, plant: Plant) -> "PlantOut":
        """Return a plant as it is answered."""
        return cls(
            name=plant.name,
            moisture=plant.moisture,
            ratio=plant.ratio,
            parts=plant.parts,
            picking=plant.picking,
            cautions=list(plant.cautions),
            also=list(plant.also),
            own=plant.own,
        )


class MixOut(Model):
    """What goes into a batch."""

    plant_g: float = Field(description="Plant, g.")
    sugar_g: float = Field(description="All the sugar, g.")
    cap_g: float = Field(description="The part of the sugar kept back to close the top, g.")
    jar_ml: float = Field(description="The jar needed, mL, a third of it left empty.")
    ratio: float = Field(description="Parts of plant to one of sugar, by weight.")
    jars: int | None = Field(description="How many of your jars it takes, if their size was said.")
    most_juice_ml: float = Field(description="Juice at the very most, mL.")
    warnings: list[str]
    cautions: list[str]

    @classmethod
    def of(cls, batch: Batch, moisture: Moisture) -> "MixOut":
        """Return a batch as it is answered."""
        mix = batch.mix
        return cls(
            plant_g=mix.plant_g,
            sugar_g=mix.sugar_g,
            cap_g=mix.cap_g,
            jar_ml=mix.jar_ml,
            ratio=mix.ratio,
            jars=batch.jars,
            most_juice_ml=expected_juice_ml(mix, moisture),
            warnings=[text for text in (ratio_warning(mix.ratio),) if text],
            cautions=list(cautions_for(Step.PACK, batch.plants)),
        )


class SeedsOut(Model):
    """How many seeds a trial needs to tell two shares apart, four times in five."""

    share: float = Field(description="What plain seeds do, 0 to 1.")
    other_share: float = Field(description="The share to be told from it, 0 to 1.")
    seeds: int = Field(description="Seeds in each arm.")
    text: str


class CansOut(Model):
    """A mix carried in cans."""

    full: int = Field(description="How many are full.")
    each_juice_ml: float = Field(description="Juice in each of them, mL.")
    last_can_ml: float | None = Field(description="What is in the last one if it is not full, mL.")
    last_juice_ml: float | None = Field(description="Juice in it, mL.")

    @classmethod
    def of(cls, cans: Cans) -> "CansOut":
        """Return cans as they are answered."""
        last = cans.last
        return cls(
            full=cans.full,
            each_juice_ml=cans.each.juice_ml,
            last_can_ml=None if last is None else last.can_ml,
            last_juice_ml=None if last is None else last.juice_ml,
        )


class DilutionOut(Model):
    """Juice and water that belong together."""

    juice_ml: float = Field(description="Juice, mL.")
    water_ml: float = Field(description="Water, mL.")
    can_ml: float = Field(description="Both together, mL.")
    parts: float | None = Field(description="Parts of water to one of juice; null without juice.")
    water_to_add_ml: float = Field(description="Water that makes a mixed can as thin as was asked for, mL.")
    cans: CansOut | None
    warnings: list[str]
    cautions: list[str]

    @classmethod
    def of(cls, mix: Dilution, wanted: Ratio, cans: Cans | None) -> "DilutionOut":
        """Return a dilution as it is answered."""
        return cls(
            juice_ml=mix.juice_ml,
            water_ml=mix.water_ml,
            can_ml=mix.can_ml,
            parts=None if math.isinf(mix.ratio) else mix.ratio,
            water_to_add_ml=thinned_to(mix, wanted),
            cans=None if cans is None else CansOut.of(cans),
            warnings=[text for text in (strength_note(mix.ratio),) if text],
            cautions=list(cautions_for(Step.DILUTE)),
        )


def reckoning_routes(desk: Desk) -> APIRouter:
    """Return the routes of the arithmetic."""
    router = area("", "arithmetic")
    _add_plants(router, desk)
    _add_mix(router, desk)
    _add_dilution(router)
    _add_seeds(router)
    return router


def _add_plants(router: APIRouter, desk: Desk) -> None:
    @router.get("/plants", summary="What is known of the plants, by name; the grower's own stand for known ones")
    def get_plants() -> list[PlantOut]:
        return [PlantOut.of(plant) for plant in all_plants(desk.records.own_plants())]


Amount = Annotated[float, Query(ge=0.01, le=1_000_000)]


def _add_mix(router: APIRouter, desk: Desk) -> None:
    @router.get("/mix", summary="How much sugar, which jar", responses=NO_FIT)
    def mix(
        plant: Annotated[
            str, Query(max_length=200, description="Such as comfrey; a blend as nettle:200g+clover:60g.")
        ] = "",
        plant_g: Annotated[Amount | None, Query(description="Weight of the plant, g.")] = None,
        sugar_g: Annotated[Amount | None, Query(description="Else the sugar at hand, g.")] = None,
        jar_ml: Annotated[
            Amount | None, Query(description="Else a jar to fill, mL; beside a weight, their size.")
        ] = None,
        ratio: Annotated[
            float | None, Query(ge=0.01, le=100, description="Parts of plant to one of sugar, by weight.")
        ] = None,
        moisture: Annotated[Moisture | None, Query(description="Else how juicy the plant is.")] = None,
    ) -> MixOut:
        own = desk.records.own_plants()
        contents = contents_from(plant, own)
        wanted = ratio_of(contents, own, ratio=ratio, moisture=moisture)
        if wanted is None:
            raise QueryError("no known plant, no ratio", "Name a plant, or give moisture or ratio.")
        if (contents.plant_g or plant_g or sugar_g or jar_ml) is None:
            raise QueryError("no amount", "Give plant_g, sugar_g or jar_ml.")
        plants = plants_in(contents.name, own)
        batch = batch_of(plants, wanted, plant_g=contents.plant_g or plant_g, sugar_g=sugar_g, jar_ml=jar_ml)
        return MixOut.of(batch, moisture or (plants[0].moisture if plants else Moisture.MEDIUM))


def _add_dilution(router: APIRouter) -> None:
    @router.get(
        "/dilute", summary="How much juice for this can; with juice and water, how strong it is", responses=NO_FIT
    )
    def dilute(
        parts: Annotated[float, Query(ge=1.01, le=100_000, description="How thin it is to be.")] = USUAL_PARTS,
        of: Annotated[
            Literal["water", "whole"], Query(description="Whether the parts count the water or the whole mix.")
        ] = "water",
        water_ml: Annotated[Amount | None, Query(description="Water, mL.")] = None,
        juice_ml: Annotated[Amount | None, Query(description="Juice, mL.")] = None,
        can_ml: Annotated[Amount | None, Query(description="A can to fill, mL.")] = None,
    ) -> DilutionOut:
        wanted = Ratio(parts, of == "whole")
        found = diluted(Measured(water_ml, juice_ml, can_ml), wanted)
        if found is None:
            raise QueryError("no amount", "Give water_ml, juice_ml or can_ml.")
        return DilutionOut.of(found[0], wanted, found[1])


def _add_seeds(router: APIRouter) -> None:
    @router.get("/seeds-needed", summary="How many seeds each arm of a trial needs", responses=NO_FIT)
    def seeds_needed(
        share: Annotated[float, Query(ge=0, le=1, description="What plain seeds do, 0 to 1.")] = 0.65,
        difference: Annotated[float, Query(ge=0.01, le=0.5, description="What is to be seen of it, 0 to 1.")] = POINTS,
    ) -> SeedsOut:
        plan = plan_for(share, difference)
        return SeedsOut(share=plan.first, other_share=plan.second, seeds=plan.needed, text=str(plan))
