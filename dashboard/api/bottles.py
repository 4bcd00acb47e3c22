"""Bottles: filled, drawn from, moved, closed, emptied."""

from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Body, Query

from dashboard.api.asking import CHANGES, UNKNOWN, WRITES, Flag, Name, Once, area, moment
from dashboard.api.bottle_models import BottleOut, CloseIn, DrawIn, EmptyIn, FilledIn, HappenedIn, HappenedOut, MoveIn
from dashboard.desk import Desk
from station.domain.bottling import (
    Bottle,
    BottleEntry,
    Drawn,
    Emptied,
    Filled,
    LidClosed,
    Moved,
    oldest_first,
)
from station.store.bottles import Bottles, Fill


def bottle_routes(desk: Desk) -> APIRouter:
    """Return the routes about bottles."""
    router = area("/bottles", "bottles")
    _add_reading(router, desk)
    _add_writing(router, desk)
    return router


def _shown(desk: Desk, *bottles: Bottle) -> list[BottleOut]:
    jars = {jar.id: jar for jar in desk.books.jars()}
    return [BottleOut.of(one, jars.get(one.jar_id), desk.now(), desk.manner.keeping) for one in bottles]


def _add_reading(router: APIRouter, desk: Desk) -> None:
    @router.get("", summary="Bottles: in store first, in the order in which to use them")
    def get_bottles(
        *, in_store_only: Annotated[Flag, Query(description="Leave out empty ones.")] = False
    ) -> list[BottleOut]:
        bottles = desk.records.bottles()
        stored = oldest_first(bottles, desk.manner.keeping)
        empty = [] if in_store_only else [one for one in bottles if not one.in_store]
        return _shown(desk, *stored, *empty)

    @router.get("/{name}", summary="One bottle", responses=UNKNOWN)
    def get_bottle(name: Name) -> BottleOut:
        return _shown(desk, desk.records.bottle(name))[0]

    @router.get("/{name}/history", summary="What happened to a bottle, in order of time", responses=UNKNOWN)
    def get_history(name: Name) -> list[HappenedOut]:
        told = sorted(desk.records.told_bottle(name), key=lambda one: (one.at, one.kind != "filled"))
        return [HappenedOut.of(one) for one in told]


def _add_writing(router: APIRouter, desk: Desk) -> None:
    @router.post("", summary="Record a bottle that comes from no jar of this shelf", status_code=201, responses=WRITES)
    def fill(sent: FilledIn, token: Once) -> BottleOut:
        at, plant = moment(sent.at, desk.now()), sent.plant.strip()
        model = Filled("", at, "", plant, 0.0, None, sent.storage, sent.note.strip())
        with desk.books.writing() as notebook:
            fills = [Fill(sent.volume_ml, sent.bottle_ml)]
            (made,) = Bottles(notebook).fill(fills, model, now_at=desk.now(), token=token)
        return _shown(desk, made)[0]

    @router.post("/{name}/record", summary="Record what happened to a bottle", responses=CHANGES)
    def record(name: Name, sent: Annotated[HappenedIn, Body()], token: Once) -> BottleOut:
        entry = _entry(desk.records.bottle(name).id, sent, moment(sent.at, desk.now()))
        anyway = isinstance(sent, DrawIn) and sent.anyway
        with desk.books.writing() as notebook:
            told = Bottles(notebook).record(entry, now_at=desk.now(), anyway=anyway, token=token)
        return _shown(desk, told)[0]


def _entry(bottle_id: str, sent: DrawIn | MoveIn | CloseIn | EmptyIn, at: datetime) -> BottleEntry:
    match sent:
        case DrawIn():
            return Drawn(bottle_id, at, sent.volume_ml, note=sent.note.strip())
        case MoveIn():
            return Moved(bottle_id, at, sent.storage)
        case CloseIn():
            return LidClosed(bottle_id, at)
        case EmptyIn():
            return Emptied(bottle_id, at, sent.reason.strip())
