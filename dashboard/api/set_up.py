"""Set-up: how the station is, what is set, and the backups made."""

from fastapi import APIRouter

from dashboard.api.asking import area
from dashboard.api.models import WayOut
from dashboard.api.set_up_models import (
    BackupOut,
    CardOut,
    ChangeOut,
    CorrectionOut,
    HeartbeatOut,
    PartOut,
    SamplesOut,
    SetOut,
    SetUpOut,
)
from dashboard.desk import Desk
from dashboard.health import archives, health_of, waiting
from dashboard.views.setup import setup_view


def set_up_routes(desk: Desk) -> APIRouter:
    """Return the route about set-up."""
    router = area("", "set-up")

    @router.get("/set-up", summary="Sensors, clock, card, ways, corrections, what is set, and backups")
    def get_set_up() -> SetUpOut:
        return _set_up(desk)

    return router


def _set_up(desk: Desk) -> SetUpOut:
    now_at, settings, health = desk.now(), desk.settings, health_of(desk)
    return SetUpOut(
        station=settings.station,
        version=desk.version,
        now_at=now_at,
        heartbeat=None if health.beat is None else HeartbeatOut.of(health.beat),
        warnings=list(setup_view(health, settings, desk.version, now_at, desk.manner).warnings),
        samples=SamplesOut.of(health.samples),
        parts=[PartOut.of(part) for part in settings.sensors],
        card=CardOut.of(health.card),
        ways=[WayOut.of(way) for way in desk.ways()],
        corrections=[CorrectionOut.of(one, now_at) for one in health.corrections],
        set=SetOut.of(settings),
        waiting=[ChangeOut.of(one) for one in waiting(desk)],
        moved_at=desk.records.shelf_moved_at(),
        backups=[BackupOut.of(path) for path in archives(desk.books.folder)],
    )
