"""Feedings and the rounds in which they come again."""

from collections.abc import Iterable
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Query

from dashboard.api.asking import CHANGES, UNKNOWN, WRITES, Name, Once, area, moment
from dashboard.api.feeding_models import (
    AdviceNowOut,
    FedIn,
    FedOut,
    FeedingNowOut,
    LeftOutIn,
    RoundIn,
    RoundOut,
    SoakOut,
    TakenOutIn,
)
from dashboard.desk import Desk
from dashboard.views.feeding import advice_now, soaking
from station.domain.feeding import Fed, Method, TakenOut
from station.domain.rounds import Round, RoundEntry, RoundSet, Skipped, Stopped, due
from station.store.feedings import Feedings
from station.store.rounds import Rounds


def feeding_routes(desk: Desk) -> APIRouter:
    """Return the routes about feedings and rounds."""
    router = area("", "feeding")
    _add_feedings(router, desk)
    _add_rounds(router, desk)
    _add_round_entries(router, desk)
    return router


def _add_feedings(router: APIRouter, desk: Desk) -> None:
    @router.get("/feedings", summary="Feedings, the latest first")
    def get_feedings(
        limit: Annotated[int, Query(ge=1, le=1000, description="At most this many.")] = 200,
    ) -> list[FedOut]:
        return [FedOut.of(fed) for fed in desk.records.feedings()[:limit]]

    @router.get("/feeding/now", summary="Seeds that soak, and whether now is a good time to feed")
    def get_now() -> FeedingNowOut:
        now_at, manner = desk.now(), desk.manner
        advice = [(method, advice_now(method, now_at, manner)) for method in (Method.LEAF_SPRAY, Method.DRENCH)]
        return FeedingNowOut(
            soaks=[SoakOut.of(fed, now_at) for fed in desk.records.feedings() if soaking(fed, now_at)],
            advice=[AdviceNowOut(method=method, good=one.good, text=one.text) for method, one in advice],
        )

    @router.post("/feedings", summary="Record a feeding", status_code=201, responses=CHANGES)
    def feed(sent: FedIn, token: Once) -> FedOut:
        model = Fed(
            "",
            moment(sent.at, desk.now()),
            sent.method,
            sent.juice_ml,
            sent.water_ml,
            sent.place.strip(),
            sent.bottle or "",
            sent.round or "",
            None if sent.until_at is None else moment(sent.until_at, desk.now()),
            sent.note.strip(),
        )
        with desk.books.writing() as notebook:
            return FedOut.of(Feedings(notebook).feed(model, now_at=desk.now(), anyway=sent.anyway, token=token))

    @router.post("/feedings/{name}/out", summary="Seeds were taken out of the juice", responses=CHANGES)
    def take_out(name: Name, sent: TakenOutIn, token: Once) -> FedOut:
        entry = TakenOut(name, moment(sent.at, desk.now()))
        with desk.books.writing() as notebook:
            return FedOut.of(Feedings(notebook).take_out(entry, now_at=desk.now(), token=token))

    @router.post("/feedings/{name}/take-back", summary="Take a feeding back that was a slip", responses=CHANGES)
    def take_back(name: Name, token: Once) -> FedOut:
        with desk.books.writing() as notebook:
            return FedOut.of(Feedings(notebook).take_back(name, now_at=desk.now(), token=token))


def _add_rounds(router: APIRouter, desk: Desk) -> None:
    @router.get("/rounds", summary="Rounds, the first due first")
    def get_rounds() -> list[RoundOut]:
        return sorted(_shown(desk, desk.records.rounds()), key=lambda one: (one.from_on, one.id))

    @router.get("/rounds/{name}", summary="One round", responses=UNKNOWN)
    def get_round(name: Name) -> RoundOut:
        return _shown(desk, [desk.records.round(name)])[0]

    @router.post("/rounds", summary="Set up a round", status_code=201, responses=WRITES)
    def set_up(sent: RoundIn, token: Once) -> RoundOut:
        model = _rule("", sent, desk.now())
        with desk.books.writing() as notebook:
            made = Rounds(notebook).set_up(model, now_at=desk.now(), token=token)
        return _shown(desk, [made])[0]

    @router.put("/rounds/{name}", summary="Change a round; one that was stopped starts again", responses=CHANGES)
    def change(name: Name, sent: RoundIn, token: Once) -> RoundOut:
        model = _rule(desk.records.round(name).id, sent, desk.now())
        with desk.books.writing() as notebook:
            Rounds(notebook).set_up(model, now_at=desk.now(), token=token)
        return _shown(desk, [desk.records.round(model.round_id)])[0]


def _rule(round_id: str, sent: RoundIn, now_at: datetime) -> RoundSet:
    return RoundSet(
        round_id,
        now_at,
        sent.method,
        sent.place.strip(),
        sent.least_days,
        sent.most_days,
        sent.parts,
        sent.water_ml,
        sent.first_on,
        sent.note.strip(),
    )


def _add_round_entries(router: APIRouter, desk: Desk) -> None:
    @router.post("/rounds/{name}/skip", summary="Leave one feeding of a round out", responses=CHANGES)
    def skip(name: Name, sent: LeftOutIn, token: Once) -> RoundOut:
        found = desk.records.round(name).id
        return _recorded(desk, Skipped(found, moment(sent.at, desk.now()), sent.reason.strip()), token)

    @router.post("/rounds/{name}/stop", summary="End a round", responses=CHANGES)
    def stop(name: Name, sent: LeftOutIn, token: Once) -> RoundOut:
        found = desk.records.round(name).id
        return _recorded(desk, Stopped(found, moment(sent.at, desk.now()), sent.reason.strip()), token)


def _recorded(desk: Desk, entry: RoundEntry, token: str) -> RoundOut:
    with desk.books.writing() as notebook:
        Rounds(notebook).record(entry, now_at=desk.now(), token=token)
    return _shown(desk, [desk.records.round(entry.round_id)])[0]


def _shown(desk: Desk, found: Iterable[Round]) -> list[RoundOut]:
    zone = desk.manner.zone
    today = desk.now().astimezone(zone).date()
    return [RoundOut.of(one, due(one, today, zone)) for one in found]
