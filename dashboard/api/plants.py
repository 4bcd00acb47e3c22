"""Plants of the grower's own: added, changed and dropped."""

from typing import Annotated

from fastapi import APIRouter
from fastapi import Path as InPath
from pydantic import Field

from dashboard.api.asking import CHANGES, WRITES, Once, Sent, Words, area
from dashboard.api.models import Model
from dashboard.api.reckoning import PlantOut
from dashboard.desk import Desk
from station.domain.plants import NAME_MOST, Moisture, own_plant
from station.store.own_plants import OwnPlants

PlantName = Annotated[
    str,
    InPath(
        description="Its name, or an unambiguous beginning of it.",
        min_length=1,
        max_length=NAME_MOST,
        pattern=r"^[^+:\x00-\x1f\x7f-\x9f]+$",
    ),
]


class PlantIn(Sent):
    """A plant of the grower's own; one of the same name is replaced."""

    name: Annotated[str, Field(min_length=1, max_length=NAME_MOST)]
    moisture: Moisture = Field(description="How juicy it is, which says how much sugar it takes.")
    parts: Words = Field("", description="What is used of it.")
    picking: Words = Field("", description="When and how it is picked.")
    cautions: list[Words] = Field([], max_length=20)
    also: list[Words] = Field([], max_length=20, description="Other names by which it is found.")


class DroppedOut(Model):
    """What was taken off the list; jars of it stay as they are."""

    name: str


def plant_routes(desk: Desk) -> APIRouter:
    """Return the routes about the grower's own plants."""
    router = area("/plants/own", "plants")

    @router.post("", summary="Add a plant of your own, or change it", status_code=201, responses=WRITES)
    def add(sent: PlantIn, token: Once) -> PlantOut:
        parts, picking = sent.parts.strip(), sent.picking.strip()
        plant = own_plant(sent.name, sent.moisture, parts, picking, _said(sent.cautions), _said(sent.also))
        with desk.books.writing() as notebook:
            OwnPlants(notebook).add(plant, now_at=desk.now(), token=token)
        return PlantOut.of(plant)

    @router.delete("/{name:path}", summary="Take a plant of your own off the list", responses=CHANGES)
    def drop(name: PlantName, token: Once) -> DroppedOut:
        with desk.books.writing() as notebook:
            return DroppedOut(name=OwnPlants(notebook).drop(name, now_at=desk.now(), token=token))

    return router


def _said(texts: list[str]) -> tuple[str, ...]:
    return tuple(text.strip() for text in texts if text.strip())
