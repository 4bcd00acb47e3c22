"""What programs may ask and send: the kinds of values, each with its unit and range, and the errors they may meet."""

import re
from datetime import UTC, date, datetime, time
from hashlib import sha256
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Header, Request, Security
from fastapi import Path as InPath
from fastapi.security import APIKeyCookie, HTTPBearer
from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field, Strict

from dashboard.access import COOKIE, SESSION, TOKEN
from dashboard.api.models import Problem
from station.domain.dates import in_known_years
from station.errors import JarsideError


class QueryError(JarsideError):
    """A question fits the description, but cannot be answered."""


class Sent(BaseModel):
    """What a program sends: unknown fields are refused, so that a misspelt one is not lost."""

    model_config = ConfigDict(frozen=True, extra="forbid")


_TIME = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d(:\d\d(\.\d{1,9})?)?([Zz]|[+-]\d\d:\d\d)")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def _written(form: re.Pattern[str], example: str) -> BeforeValidator:
    """Refuse what is not written as RFC 3339 has it: a number would be taken for seconds since 1970."""

    def check(value: object) -> object:
        if isinstance(value, date) or (isinstance(value, str) and form.fullmatch(value)):
            return value
        raise ValueError(f"is not written like {example}")

    return BeforeValidator(check)


def _true_or_false(value: object) -> object:
    """Refuse the other words that could be meant: one way to say it is enough."""
    if value not in (True, False, "true", "false"):
        raise ValueError("is neither true nor false")
    return value


def _whole(value: object) -> object:
    return int(value) if isinstance(value, float) and value.is_integer() else value


Time = Annotated[AwareDatetime, _written(_TIME, "2026-05-14T19:00:00Z")]
Day = Annotated[date, _written(_DAY, "2026-05-14")]
Millilitres = Annotated[float, Strict(), Field(ge=0.01, le=1_000_000)]
Grams = Annotated[float, Strict(), Field(ge=0.01, le=1_000_000)]
Parts = Annotated[float, Strict(), Field(ge=1, le=100_000)]
Yes = Annotated[bool, Strict()]
WHOLE = BeforeValidator(_whole)
"""A whole number; in JSON 3.0 is one too (JSON Schema 2020-12, validation 6.1.1)."""
Flag = Annotated[bool, BeforeValidator(_true_or_false)]
"""A question's yes or no: `true` or `false`, as JSON writes them."""


class TakeBackIn(Sent):
    """Something that was a slip."""

    at: Time | None = Field(None, description="Its own time, as it is told; of the last one if left out.")


Words = Annotated[str, Field(max_length=2000)]
WORDED = r"[^\s\x1c-\x1f\u0085\ufeff]"
"""Not all blank. What is blank differs between Python, Rust and the ECMAScript of descriptions: none of it will do."""
ShortName = Annotated[str, Field(min_length=1, max_length=200, pattern=WORDED)]
Reference = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[a-z0-9][a-z0-9-]*$")]
Name = Annotated[
    str,
    InPath(
        description="Its id, or an unambiguous beginning of it.",
        min_length=1,
        max_length=80,
        pattern=r"^[a-z0-9][a-z0-9-]*$",
    ),
]


def moment(at: datetime | None, now_at: datetime) -> datetime:
    """Return when something happened: as said, else now.

    Raises:
        QueryError: it is so far off that it cannot be meant.
    """
    if at is None:
        return now_at
    if not in_known_years(at):
        raise QueryError(f"a time in the year {at.year}", "Check the time.")
    return at


def known_day(day: date) -> date:
    """Return a day that can be meant.

    Raises:
        QueryError: it is so far off that it cannot.
    """
    at = datetime.combine(day, time(0), UTC)
    return moment(at, at).date()


def _token(
    request: Request,
    key: Annotated[
        str | None,
        Header(
            alias="Idempotency-Key",
            description="Unique for one writing, such as a UUID: sent again with it, nothing is written twice, and "
            "what the first one made comes back.",
            min_length=1,
            max_length=100,
        ),
    ] = None,
) -> str:
    """Return what marks one writing of one program, or "" where nothing is to be remembered."""
    if key is None:
        return ""
    who = request.scope.get(TOKEN) or request.scope.get(SESSION, "")
    return "api-" + sha256(f"{who}\n{request.method} {request.url.path}\n{key}".encode()).hexdigest()[:32]


Once = Annotated[str, Depends(_token)]
"""The mark of one writing, from the header Idempotency-Key."""


def _problem(text: str) -> dict[str, Any]:
    """Describe an error by name: a model for each route and status would cost a Pi seconds at every start."""
    schema = {"$ref": f"#/components/schemas/{Problem.__name__}"}
    return {"description": text, "content": {"application/json": {"schema": schema}}}


NAMED: dict[int | str, dict[str, Any]] = {503: {"model": Problem, "description": "The data cannot be read."}}
"""Given to one route, so that the description holds what the others name."""
ANSWERS: dict[int | str, dict[str, Any]] = {
    400: _problem("Asked under a name that is not known here, or cannot be read."),
    401: _problem("No session and no token, or one that has ended."),
    403: _problem("Sent from another site's page, or from another machine while there is no passphrase."),
    422: _problem("Does not fit this description."),
    503: _problem("The data cannot be read or written."),
}
UNKNOWN: dict[int | str, dict[str, Any]] = {404: _problem("There is none of that name.")}
NO_FIT: dict[int | str, dict[str, Any]] = {409: _problem("Fits this description, but not what is recorded.")}
TOO_LARGE: dict[int | str, dict[str, Any]] = {413: _problem("The body is too large.")}
BUSY: dict[int | str, dict[str, Any]] = {429: _problem("There is too much to do already: ask again later.")}
WRITES = NO_FIT | TOO_LARGE
CHANGES = UNKNOWN | WRITES

_SECURITY = (
    HTTPBearer(scheme_name="token", description="A token: jarside token make NAME prints one.", auto_error=False),
    APIKeyCookie(name=COOKIE, scheme_name="session", description="The session of the pages.", auto_error=False),
)
"""Told to programs here; the door asks for it, before any of these routes is reached."""


def area(prefix: str, tag: str) -> APIRouter:
    """Return a router for what is about one thing, with what all of them share.

    Args:
        prefix: behind `/api`, such as `/jars`; may be empty.
        tag: under which it is described.
    """
    return APIRouter(
        prefix=f"/api{prefix}", tags=[tag], responses=ANSWERS, dependencies=[Security(one) for one in _SECURITY]
    )
