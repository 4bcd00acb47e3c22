"""The same for programs: JSON under `/api`, described at `/api/openapi.json`."""

import shutil
from datetime import datetime, timedelta
from pathlib import Path
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from fastapi import Path as InPath
from pydantic import AwareDatetime

from dashboard.desk import Desk
from dashboard.models import (
    AlertOut,
    ClimateOut,
    ConditionOut,
    JarOut,
    Problem,
    ReadingOut,
    ShelfOut,
    StatusOut,
    StepOut,
)
from dashboard.views.jars import stage_of
from dashboard.views.manner import STALE_AFTER
from dashboard.views.shelf import shelf_verdict
from dashboard.views.spans import Span
from station.domain.conditions import Kind, State
from station.domain.sentences import alert_sentence
from station.errors import JarsideError

MOST_SPAN = timedelta(days=7)
"""Readings are answered for at most this long: some 10,000 of them."""


class QueryError(JarsideError):
    """A question to the JSON interface is not one that can be answered."""


def api_router(desk: Desk) -> APIRouter:
    """Return the routes of the JSON interface over one desk."""
    router = APIRouter(
        prefix="/api",
        responses={
            400: {"model": Problem, "description": "Asked under a name that is not known here."},
            503: {"model": Problem, "description": "The data cannot be read."},
        },
    )
    _add_shelf(router, desk)
    _add_jars(router, desk)
    _add_course(router, desk)
    return router


_UNKNOWN: dict[int | str, dict[str, object]] = {404: {"model": Problem, "description": "There is none of that name."}}
_WRONG: dict[int | str, dict[str, object]] = {
    422: {"model": Problem, "description": "The question cannot be answered."}
}


def _add_shelf(router: APIRouter, desk: Desk) -> None:
    shelf = desk.books.shelf

    @router.get("/shelf", summary="How the shelf is now")
    def get_shelf() -> ShelfOut:
        now_at, reading, conditions = desk.now(), shelf.latest(), shelf.conditions()
        sentence, level = shelf_verdict(reading, conditions, now_at, desk.manner)
        return ShelfOut(
            station=desk.settings.station,
            now_at=now_at,
            verdict=sentence,
            level=level,
            reading=None if reading is None else ReadingOut.of(reading),
            conditions=[] if reading is None else [ConditionOut.of(state) for state in _every(conditions)],
        )

    @router.get("/alerts", summary="Alerts, the newest first", responses=_WRONG)
    def get_alerts(
        *,
        open_only: Annotated[bool, Query(description="Leave out those that have cleared.")] = False,
        limit: Annotated[int, Query(ge=1, le=1000, description="At most this many.")] = 200,
    ) -> list[AlertOut]:
        now_at, plants = desk.now(), {jar.id: jar.plant for jar in desk.books.jars()}
        zone, unit = desk.manner.zone, desk.manner.unit
        return [
            AlertOut.of(alert, alert_sentence(alert, zone, unit, plants.get(alert.jar_id, ""), now_at))
            for alert in shelf.alerts(open_only=open_only, limit=limit)
        ]

    @router.get("/status", summary="How the station is")
    def get_status() -> StatusOut:
        now_at, reading = desk.now(), shelf.latest()
        age = None if reading is None else now_at - reading.measured_at
        return StatusOut(
            station=desk.settings.station,
            version=desk.version,
            now_at=now_at,
            writing=age is not None and age <= STALE_AFTER,
            last_reading_at=None if reading is None else reading.measured_at,
            age_s=None if age is None else age.total_seconds(),
            clock_trusted=None if reading is None else reading.trusted,
            free_bytes=_free_bytes(desk.books.folder),
        )


def _every(conditions: tuple[State, ...]) -> list[State]:
    """Return every condition in the order in which they matter: the station keeps only those that ever moved."""
    known = {state.kind: state for state in conditions}
    return [known.get(kind, State(kind)) for kind in Kind]


def _free_bytes(folder: Path) -> int | None:
    return shutil.disk_usage(folder).free if folder.is_dir() else None


def _add_jars(router: APIRouter, desk: Desk) -> None:
    @router.get("/jars", summary="Jars, the latest packed first", responses=_WRONG)
    def get_jars(
        limit: Annotated[int, Query(ge=1, le=1000, description="At most this many.")] = 60,
    ) -> list[JarOut]:
        now_at = desk.now()
        with desk.books.shelf.together() as shelf:
            jars = [(jar, shelf.outlook(jar.id)) for jar in desk.books.jars()[:limit]]
        return [JarOut.of(jar, stage_of(jar, outlook, now_at), outlook) for jar, outlook in jars]

    @router.get("/jars/{name}", summary="One jar", responses=_UNKNOWN | _WRONG)
    def get_jar(name: Annotated[str, InPath(description="Its id, or an unambiguous beginning of it.")]) -> JarOut:
        jar = desk.books.jar(name)
        outlook = desk.books.shelf.outlook(jar.id)
        return JarOut.of(jar, stage_of(jar, outlook, desk.now()), outlook)


def _add_course(router: APIRouter, desk: Desk) -> None:
    shelf = desk.books.shelf

    @router.get("/readings", summary="Readings in order of time", responses=_WRONG)
    def get_readings(
        since: Annotated[
            AwareDatetime | None, Query(description="From then on; a day before the end if left out.")
        ] = None,
        until: Annotated[AwareDatetime | None, Query(description="Up to then; now if left out.")] = None,
    ) -> list[ReadingOut]:
        since_at, until_at = _bounded(since, until, desk.now())
        return [ReadingOut.of(reading) for reading in shelf.readings(since_at, until_at)]

    @router.get("/climate", summary="The course of the last day or week", responses=_WRONG)
    def get_climate(
        span: Annotated[Literal["day", "week"], Query(description="How much of it.")] = "day",
    ) -> ClimateOut:
        asked, until_at = Span(span), desk.now()
        buckets = shelf.series(until_at - asked.length, until_at, asked.buckets)
        return ClimateOut(
            span=span,
            since_at=until_at - asked.length,
            until_at=until_at,
            step_s=asked.step_s,
            steps=[StepOut.of(bucket) for bucket in buckets],
        )


def _bounded(since: datetime | None, until: datetime | None, now_at: datetime) -> tuple[datetime, datetime]:
    """Return the two ends of a question for readings.

    Raises:
        QueryError: they are the wrong way round, or too far apart.
    """
    until_at = until or now_at
    since_at = since or until_at - timedelta(days=1)
    if since_at >= until_at:
        raise QueryError("since is not before until", "Give an earlier since.")
    if until_at - since_at > MOST_SPAN:
        raise QueryError("since and until are more than seven days apart", "Ask for seven days at a time.")
    return since_at, until_at
