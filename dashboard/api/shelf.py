"""The shelf: how it is, its readings, its course, and whether its place is a good one."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Query

from dashboard.api.asking import NAMED, NO_FIT, UNKNOWN, Day, QueryError, Time, area, known_day, moment
from dashboard.api.models import (
    ClimateOut,
    ConditionOut,
    OtherSpotOut,
    ReadingOut,
    ShelfOut,
    SpotOut,
    StatusOut,
    StepOut,
    SunOut,
    TodoOut,
    WayOut,
)
from dashboard.desk import Desk
from dashboard.doings import coming_sun, shelf_shown
from dashboard.health import free_bytes
from dashboard.other_logs import log_files
from dashboard.views.shelf import shelf_verdict
from dashboard.views.spans import Span, window
from dashboard.views.tomorrow import next_picking
from station.domain.conditions import Kind, State
from station.domain.heartbeat import has_stopped
from station.domain.readings import Reading
from station.domain.shelf import Judge
from station.domain.survey import surveyed
from station.errors import UnknownNameError
from station.store.log_files import read_log

MOST_READINGS = timedelta(days=7)
"""Readings are answered for at most this long: some 10,000 of them."""
MOST_SURVEYED = timedelta(days=31)


READS = UNKNOWN | NO_FIT


def shelf_routes(desk: Desk) -> APIRouter:
    """Return the routes about the shelf."""
    router = area("", "shelf")
    _add_now(router, desk)
    _add_doings(router, desk)
    _add_status(router, desk)
    _add_course(router, desk)
    _add_survey(router, desk)
    return router


def _add_now(router: APIRouter, desk: Desk) -> None:
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


def _add_doings(router: APIRouter, desk: Desk) -> None:
    @router.get("/to-do", summary="What needs doing, the most urgent first")
    def get_todo() -> list[TodoOut]:
        return [TodoOut.of(one) for one in shelf_shown(desk).todos]

    @router.get("/sun", summary="When to pick next, and when direct sun will fall on the shelf")
    def get_sun() -> SunOut:
        return SunOut.of(next_picking(desk.now(), desk.manner), coming_sun(desk))


def _every(conditions: tuple[State, ...]) -> list[State]:
    """Return every condition in the order in which they matter: the station keeps only those that ever moved."""
    known = {state.kind: state for state in conditions}
    return [known.get(kind, State(kind)) for kind in Kind]


def _add_status(router: APIRouter, desk: Desk) -> None:
    shelf = desk.books.shelf

    @router.get("/status", summary="How the station is", responses=NAMED)
    def get_status() -> StatusOut:
        now_at, reading = desk.now(), shelf.latest()
        age = None if reading is None else now_at - reading.measured_at
        return StatusOut(
            station=desk.settings.station,
            version=desk.version,
            now_at=now_at,
            writing=reading is not None and not has_stopped(reading.measured_at, now_at),
            last_reading_at=None if reading is None else reading.measured_at,
            age_s=None if age is None else age.total_seconds(),
            clock_trusted=None if reading is None else reading.trusted,
            free_bytes=free_bytes(desk.books.folder),
            ways=[WayOut.of(way) for way in desk.ways()],
        )


Since = Annotated[Time | None, Query(description="From then on; a day before the end if left out.")]
Until = Annotated[Time | None, Query(description="Up to then; now if left out.")]


def _add_course(router: APIRouter, desk: Desk) -> None:
    shelf = desk.books.shelf

    @router.get("/readings", summary="Readings in order of time, at most a week of them", responses=NO_FIT)
    def get_readings(since: Since = None, until: Until = None) -> list[ReadingOut]:
        since_at, until_at = _bounded(since, until, desk.now(), MOST_READINGS)
        return [ReadingOut.of(reading) for reading in shelf.readings(since_at, until_at)]

    @router.get("/climate", summary="The course of a day, week, month or season", responses=NO_FIT)
    def get_climate(
        span: Annotated[Span, Query(description="How much of it.")] = Span.DAY,
        until: Annotated[Day | None, Query(description="Its last local day; up to now if left out.")] = None,
    ) -> ClimateOut:
        last = None if until is None else known_day(until)
        shown = window(span, last, desk.now(), desk.manner.zone)
        buckets = shelf.steps(shown.steps_since_at, shown.until_at, span.step_s)
        return ClimateOut(
            span=span,
            since_at=shown.since_at,
            until_at=shown.until_at,
            steps=[StepOut.of(bucket) for bucket in buckets],
        )


def _add_survey(router: APIRouter, desk: Desk) -> None:
    @router.get("/survey", summary="Is this a good spot? At most 31 days of the log, summed up", responses=NO_FIT)
    def get_survey(since: Since = None, until: Until = None) -> SpotOut:
        since_at, until_at = _bounded(since, until, desk.now(), MOST_SURVEYED)
        return _spot(desk, desk.books.shelf.readings(since_at, until_at))

    @router.get("/logs", summary="Log files from elsewhere, in the data folder")
    def get_logs() -> list[str]:
        return [path.name for path in log_files(desk)]

    @router.get("/logs/survey", summary="Is that a good spot? A log file from elsewhere, summed up", responses=READS)
    def get_log_survey(
        name: Annotated[str, Query(min_length=1, max_length=255, description="The file's name, whole.")],
    ) -> OtherSpotOut:
        path = next((one for one in log_files(desk) if one.name == name), None)
        if path is None:
            raise UnknownNameError(f"there is no log file {name!r}", "See them: GET /api/logs.")
        log = read_log(path, skip_bad=True)
        return OtherSpotOut(name=path.name, spot=_spot(desk, log), rejected=log.rejected)


def _spot(desk: Desk, readings: Iterable[Reading]) -> SpotOut:
    manner = desk.manner
    return SpotOut.of(surveyed(readings, Judge(manner.limits, manner.place), manner.base_c))


def _bounded(
    since: datetime | None, until: datetime | None, now_at: datetime, most: timedelta
) -> tuple[datetime, datetime]:
    """Return the two ends of a question.

    Raises:
        QueryError: they are the wrong way round, or too far apart.
    """
    until_at = moment(until, now_at)
    since_at = moment(since, until_at - timedelta(days=1))
    if since_at >= until_at:
        raise QueryError("since is not before until", "Give an earlier since.")
    if until_at - since_at > most:
        raise QueryError(f"since and until are more than {most.days} days apart", "Ask for less at a time.")
    return since_at, until_at
