"""Set-up: how the station is, what is set, that it was moved, its ways of delivery, and backups."""

from collections.abc import Mapping
from datetime import time
from typing import Annotated

from fastapi import APIRouter
from fastapi import Path as InPath
from fastapi.responses import FileResponse

from dashboard.api.asking import BUSY, NO_FIT, UNKNOWN, WRITES, Once, QueryError, area, moment
from dashboard.api.models import WayOut
from dashboard.api.set_up_models import (
    BackupOut,
    CardOut,
    ChangeOut,
    CorrectionOut,
    HeartbeatOut,
    MovedIn,
    MovedOut,
    PartOut,
    SamplesOut,
    Settable,
    SetUpOut,
)
from dashboard.backups import KEPT, archive, archives, saved
from dashboard.desk import Desk
from dashboard.health import health_of
from dashboard.settable import Typed, faults, keep, settings_now, waiting
from dashboard.views.settings import SECTIONS
from dashboard.views.setup import setup_view
from dashboard.way_tests import tested
from station.store.set_up import Value
from station.store.shelf_moves import ShelfMoves


def set_up_routes(desk: Desk) -> APIRouter:
    """Return the routes about set-up."""
    router = area("", "set-up")
    _add_reading(router, desk)
    _add_settings(router, desk)
    _add_move(router, desk)
    _add_test(router, desk)
    _add_backups(router, desk)
    return router


def _add_reading(router: APIRouter, desk: Desk) -> None:
    @router.get("/set-up", summary="Sensors, clock, card, ways, corrections, what is set, and backups")
    def get_set_up() -> SetUpOut:
        return _set_up(desk)


def _set_up(desk: Desk) -> SetUpOut:
    now_at, settings, health = desk.now(), desk.settings, health_of(desk)
    return SetUpOut(
        station=settings.station,
        version=desk.version,
        now_at=now_at,
        heartbeat=None if health.beat is None else HeartbeatOut.of(health.beat),
        warnings=list(setup_view(health, settings, settings_now(desk), desk.version, now_at, desk.manner).warnings),
        samples=SamplesOut.of(health.samples),
        parts=[PartOut.of(part) for part in settings.sensors],
        card=CardOut.of(health.card),
        ways=[WayOut.of(way) for way in desk.ways()],
        corrections=[CorrectionOut.of(one, now_at) for one in health.corrections],
        set=Settable.of(settings),
        waiting=[ChangeOut.of(one) for one in waiting(desk)],
        moved_at=desk.records.shelf_moved_at(),
        backups=[BackupOut.of(path, desk.manner.zone) for path in archives(desk.books.folder)],
    )


def _add_settings(router: APIRouter, desk: Desk) -> None:
    @router.get(
        "/set-up/settings",
        summary="What may be set here, as it will be once the programs begin anew",
        responses=NO_FIT,
    )
    def get_settings() -> Settable:
        return Settable.of(settings_now(desk))

    @router.put(
        "/set-up/settings", summary="Set place, units, limits and evenings, all of them at once", responses=WRITES
    )
    def put_settings(sent: Settable) -> Settable:
        values = sent.limits.model_dump() | sent.model_dump(exclude={"limits"})
        typed = {name: {key: _value(values[key], keys[key]) for key in keys} for name, (_, keys) in SECTIONS.items()}
        _check(typed)
        keep(desk, typed)
        return Settable.of(settings_now(desk))


def _value(sent: str | float | list[str] | None, kind: type) -> Value | None:
    """Return a value as settings hold it."""
    if isinstance(sent, list):
        return tuple(sent)
    return time.fromisoformat(sent) if isinstance(sent, str) and kind is time else sent


def _check(typed: Mapping[str, Typed]) -> None:
    """Refuse what the settings themselves would refuse.

    Raises:
        QueryError: the first that is wrong.
    """
    for name, values in typed.items():
        for key, what in faults(name, values):
            raise QueryError(f"{key}: {what}", "Nothing was changed yet.")


def _add_move(router: APIRouter, desk: Desk) -> None:
    @router.post("/set-up/moved", summary="Record that the station was put elsewhere, or turned", responses=WRITES)
    def moved(sent: MovedIn, token: Once) -> MovedOut:
        now_at = desk.now()
        with desk.books.writing() as notebook:
            moves = ShelfMoves(notebook)
            moves.move(moment(sent.at, now_at), now_at=now_at, token=token)
            return MovedOut(moved_at=moves.last_at())


def _add_test(router: APIRouter, desk: Desk) -> None:
    @router.post(
        "/ways/test",
        summary="Send a test on every way, and say how each is doing after it; takes a while",
        responses=NO_FIT | BUSY,
    )
    def test(token: Once) -> list[WayOut]:
        send = desk.lent.test_ways
        if send is None:
            raise QueryError("nothing can be sent from here", "Send it from the shell: jarside alerts test.")
        return [WayOut.of(way) for way in tested(desk, token, send)]


BackupName = Annotated[
    str,
    InPath(
        description="The backup's name, whole.",
        max_length=40,
        pattern=r"^jarside-[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{6}\.zip$",
    ),
]
_ZIP = {"application/zip": {"schema": {"type": "string", "format": "binary"}}}


def _add_backups(router: APIRouter, desk: Desk) -> None:
    @router.get("/set-up/backups", summary="The backups made here, the newest first")
    def get_backups() -> list[BackupOut]:
        return [BackupOut.of(path, desk.manner.zone) for path in archives(desk.books.folder)]

    @router.post(
        "/set-up/backups",
        summary=f"Save shelf log, notebook and what was set here; the newest {KEPT} are kept",
        status_code=201,
        responses=NO_FIT | BUSY,
    )
    def back_up(token: Once) -> BackupOut:
        return BackupOut.of(saved(desk, token), desk.manner.zone)

    @router.get(
        "/set-up/backups/{name}",
        summary="One backup, as the file itself",
        response_class=FileResponse,
        responses=UNKNOWN | {200: {"content": _ZIP, "description": "All in one archive."}},
    )
    def get_backup(name: BackupName) -> FileResponse:
        return FileResponse(archive(desk.books.folder, name), media_type="application/zip", filename=name)
