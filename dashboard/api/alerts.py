"""Alerts: what the station says, and what a person does about it."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi import Path as InPath
from pydantic import Field

from dashboard.api.asking import CHANGES, NO_FIT, Flag, Once, Sent, Time, area, moment
from dashboard.api.models import Model
from dashboard.desk import Desk
from dashboard.views.alerts import answered
from station.domain.alert import Alert, AlertKind
from station.domain.sentences import alert_sentence
from station.errors import NotebookError, UnknownNameError
from station.ports import Answer
from station.store.notebook import Notebook

MOST_ALERTS = 1000
AlertName = Annotated[
    str, InPath(description="The alert's id, whole.", min_length=1, max_length=120, pattern=r"^[a-z0-9][A-Za-z0-9-]*$")
]


class AlertOut(Model):
    """One alert."""

    id: str
    kind: AlertKind
    jar: str | None
    text: str = Field(description="One sentence, in the units of the settings.")
    raised_at: datetime
    since_at: datetime = Field(description="When its cause began.")
    cleared_at: datetime | None = Field(description="Null while it is open.")
    acknowledged_at: datetime | None = Field(description="When a person or a program took note of it.")
    put_off_until_at: datetime | None
    value: float | None = Field(
        description="What raised it: °C, lx, or %RH above the mould-critical humidity for damp; null for others."
    )
    peak: float | None = Field(description="The worst value so far, in the same unit.")
    evening_at: datetime | None = Field(description="The evening that a strain alert calls for.")

    @classmethod
    def of(cls, alert: Alert, text: str) -> "AlertOut":
        """Return an alert as it is answered."""
        return cls(
            id=alert.id,
            kind=alert.kind,
            jar=alert.jar_id or None,
            text=text,
            raised_at=alert.raised_at,
            since_at=alert.since_at,
            cleared_at=alert.cleared_at,
            acknowledged_at=alert.acknowledged_at,
            put_off_until_at=alert.put_off_until_at,
            value=alert.value if alert.kind.unit else None,
            peak=alert.peak if alert.kind.unit else None,
            evening_at=alert.evening_at,
        )


class PutOffIn(Sent):
    """For how long an alert is to be quiet."""

    hours: Annotated[float, Field(ge=0.1, le=24, strict=True)] = Field(2.0, description="From now on, h.")


class AnswerOut(Model):
    """What was written down; the station takes it up at its next minute."""

    alert: str
    at: datetime
    put_off_until_at: datetime | None = Field(description="Null where it was not put off.")
    taken_back: bool = Field(description="Whether an acknowledgement was taken back.")


def alert_routes(desk: Desk) -> APIRouter:
    """Return the routes about alerts."""
    router = area("/alerts", "alerts")
    _add_reading(router, desk)
    _add_answers(router, desk)
    return router


def _add_reading(router: APIRouter, desk: Desk) -> None:
    @router.get("", summary="Alerts, the newest first", responses=NO_FIT)
    def get_alerts(
        *,
        open_only: Annotated[Flag, Query(description="Leave out those that have cleared.")] = False,
        limit: Annotated[int, Query(ge=1, le=MOST_ALERTS, description="At most this many.")] = 200,
        since: Annotated[Time | None, Query(description="Open at some time from then on.")] = None,
        until: Annotated[Time | None, Query(description="Open at some time before then.")] = None,
    ) -> list[AlertOut]:
        now_at, plants = desk.now(), {jar.id: jar.plant for jar in desk.books.jars()}
        zone, unit = desk.manner.zone, desk.manner.unit
        found = desk.books.shelf.alerts(
            open_only=open_only,
            since_at=None if since is None else moment(since, now_at),
            until_at=None if until is None else moment(until, now_at),
            limit=limit,
        )
        return [
            AlertOut.of(alert, alert_sentence(alert, zone, unit, plants.get(alert.jar_id, ""), now_at))
            for alert in answered(found, desk.records.answers())
        ]


def _add_answers(router: APIRouter, desk: Desk) -> None:
    @router.post("/{alert}/acknowledge", summary="Take note of an alert", responses=CHANGES)
    def acknowledge(alert: AlertName, token: Once) -> AnswerOut:
        return _answered(desk, alert, token, lambda notebook, at: notebook.answer(Answer(alert, at), token=token))

    @router.post("/{alert}/take-back", summary="Take an acknowledgement back", responses=CHANGES)
    def take_back(alert: AlertName, token: Once) -> AnswerOut:
        return _answered(desk, alert, token, lambda notebook, at: notebook.take_back(alert, at, token=token))

    @router.post("/{alert}/put-off", summary="Put an alert off, at most a day", responses=CHANGES)
    def put_off(alert: AlertName, sent: PutOffIn, token: Once) -> AnswerOut:
        def write(notebook: Notebook, at: datetime) -> None:
            notebook.answer(Answer(alert, at, at + timedelta(hours=sent.hours)), token=token)

        return _answered(desk, alert, token, write)


def _answered(desk: Desk, alert_id: str, token: str, write: Callable[[Notebook, datetime], None]) -> AnswerOut:
    """Write it down once, and tell what is written: asked again later, a time counted anew would be another one."""
    if not desk.books.recorded(token):
        _check_open(desk, alert_id)
    with desk.books.writing() as notebook:
        write(notebook, desk.now())
        kept = notebook.answers_to([alert_id])[-1]
    put_off_until_at = None if kept.takes_back else kept.until_at
    return AnswerOut(alert=alert_id, at=kept.at, put_off_until_at=put_off_until_at, taken_back=kept.takes_back)


def _check_open(desk: Desk, alert_id: str) -> None:
    """Make sure that there is something to answer.

    Raises:
        NotebookError: there is no such alert, or it has cleared.
    """
    shelf = desk.books.shelf
    found = next((one for one in shelf.alerts(limit=MOST_ALERTS) if one.id == alert_id), None)
    if found is None:
        raise UnknownNameError(f"there is no alert {alert_id}", "See them: GET /api/alerts.")
    if not found.open:
        raise NotebookError(f"alert {alert_id} has cleared", "There is nothing left to do about it.")
