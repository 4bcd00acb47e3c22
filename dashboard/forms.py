"""Forms: what was typed, kept as it was typed; read field by field; and a mark that makes a form count once.

A form carries one hidden field, `mark`. It shows that the form came from a page of ours, shown to this session, and is
unique: a second submit of the same form with the same words finds what the first one made. Fields that cannot be read
are remembered with what is wrong, so that the page comes back with every word still in it.
"""

import hmac
import secrets
from collections import defaultdict
from collections.abc import Awaitable, Callable, Iterable, Mapping
from datetime import datetime
from hashlib import sha256
from typing import TypeVar
from urllib.parse import parse_qsl
from zoneinfo import ZoneInfo

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from dashboard.access import SESSION
from dashboard.turns import BusyError
from station.domain.dates import moment_from
from station.errors import JarsideError, StoreError

Read = TypeVar("Read")
Chosen = TypeVar("Chosen")
Made = TypeVar("Made")

MOST_FIELDS = 300
MARK = "mark"
"""The name of the hidden field."""
NONCE_BYTES = 18
REFUSED, SLOW_DOWN, FAILED = 422, 429, 503
"""How a form that is shown again is answered where it was not believed, came too soon, or could not be kept."""
STALE = JarsideError("this form was opened before the pages began anew, or in another session", "Send it once more.")


class Form:
    """What one form holds, as text.

    Args:
        fields: what was typed, by the name of the field.
    """

    def __init__(self, fields: Mapping[str, Iterable[str]] | None = None) -> None:
        self._fields = {name: tuple(values) for name, values in (fields or {}).items()}
        self._wrong: dict[str, JarsideError] = {}
        self._offered: set[str] = set()
        self.problem: JarsideError | None = None
        """What is wrong with the form as a whole."""
        self.status = 200
        """Of the answer that shows this form.

        200 also where there is something to put right: the page was shown well, nothing was recorded, and a browser
        has no fault to note on its console. Other where it is not for the person to put right: what is not believed, a
        strange mark or a wrong passphrase, must not look like a success to strangers or to those who watch for them.
        """

    @classmethod
    def asked(cls, query: QueryParams) -> "Form":
        """Return the form that the query of an address fills in; a form that records nothing is sent so.

        What is empty in it is as if it were not there: the form shows what it begins with.
        """
        return cls({name: values for name in query if any(values := query.getlist(name))})

    @property
    def sent(self) -> bool:
        """Whether anybody has filled it in: else it shows what it begins with."""
        return bool(self._fields)

    def text(self, name: str) -> str:
        """Return what stands in a field, without spaces around it; "" where there is none."""
        values = self._fields.get(name, ())
        return values[-1].strip() if values else ""

    def shown(self, name: str, default: object) -> object:
        """Return what a field is to show: as it was typed, also where it was emptied; the default in a new form."""
        return self.text(name) if name in self._fields else default

    def texts(self, name: str) -> tuple[str, ...]:
        """Return all values of a field that may be there several times."""
        return self._fields.get(name, ())

    def ticked(self, name: str) -> bool:
        """Whether a box is ticked."""
        return name in self._fields

    def wrong(self, name: str) -> JarsideError | None:
        """Return what is wrong with a field, or None."""
        return self._wrong.get(name)

    @property
    def ok(self) -> bool:
        """Whether all that was read so far could be read."""
        return not self._wrong and self.problem is None

    def kept(self, write: Callable[[], Made]) -> Made | None:
        """Write what the form says and return what came of it; None, with the reason at hand, where that cannot be."""
        if not self.ok:
            return None
        try:
            return write()
        except StoreError as error:
            self.problem, self.status = error, FAILED
        except BusyError as error:
            self.problem, self.status = error, SLOW_DOWN
        except JarsideError as error:
            self.problem = error
        return None

    def refuse(self, name: str, what: str, remedy: str, *, unless: str = "") -> None:
        """Say that a field is wrong; `unless` names a box that is to be offered, with which it may be meant."""
        self.blame(name, JarsideError(what, remedy))
        self._offered.add(unless)

    def offers(self, name: str) -> bool:
        """Whether a box is to be shown that is there only where it is needed."""
        return name in self._offered or self.ticked(name)

    def blame(self, name: str, error: JarsideError) -> None:
        """Say that a field is wrong, as an error has it; what was said of it first stays."""
        self._wrong.setdefault(name, error)

    def digest(self) -> str:
        """Return a short mark of all that was typed.

        With it a form sent twice is one, but one that was sent, gone back to and sent with other words is another: to
        take it for the first would lose what was typed without a word.
        """
        said = sorted((name, values) for name, values in self._fields.items() if name != MARK)
        return sha256(repr(said).encode()).hexdigest()[:16]

    def read(self, name: str, reader: Callable[[str], Read]) -> Read | None:
        """Return a field as `reader` understands it; None where it is empty or wrong (and then say so)."""
        text = self.text(name)
        if not text:
            return None
        try:
            return reader(text)
        except JarsideError as error:
            self.blame(name, error)
            return None

    def needed(self, name: str, reader: Callable[[str], Read], what: str, remedy: str) -> Read | None:
        """Return a field that must not be empty as `reader` understands it; None where it is wrong."""
        if not self.text(name):
            self.refuse(name, what, remedy)
        return self.read(name, reader)

    def choice(self, name: str, choices: type[Chosen], default: Chosen | None = None) -> Chosen | None:
        """Return a field as one of an enumeration's values; the default where it is empty."""
        text = self.text(name)
        if not text:
            return default
        try:
            return choices(text)  # type: ignore[call-arg] # an enumeration
        except ValueError:
            self.refuse(name, f"{text!r} is not among the choices", "Choose one of them.")
            return default

    def moment(self, name: str, zone: ZoneInfo, default: datetime) -> datetime:
        """Return a field as an aware time; a local one without offset; the default where it is empty or wrong."""
        return self.read(name, lambda text: moment_from(text, zone)) or default


class Marks:
    """Makes and knows the marks of forms.

    Args:
        key: a secret of this dashboard; marks of another are strangers.
    """

    def __init__(self, key: bytes) -> None:
        self._key = key

    def new(self, session: str) -> str:
        """Return a mark for a form shown to a session."""
        nonce = secrets.token_urlsafe(NONCE_BYTES)
        return f"{nonce}.{self._sign(session, nonce)}"

    def spent(self, session: str, mark: str) -> str | None:
        """Return the unique part of a mark of ours for this session, or None."""
        nonce, _, signature = mark.partition(".")
        known = hmac.compare_digest(signature.encode(), self._sign(session, nonce).encode())
        return nonce if nonce and known else None

    def _sign(self, session: str, nonce: str) -> str:
        return hmac.new(self._key, f"{session}\n{nonce}".encode(), sha256).hexdigest()[:32]


def session_of(request: Request) -> str:
    """Return the session that the door found, or "" where no passphrase is asked for."""
    return str(request.scope.get(SESSION, ""))


async def typed(request: Request) -> Form:
    """Return the form that a request carries.

    Raises:
        HTTPException: it is no form, or holds more than `MOST_FIELDS` fields.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/x-www-form-urlencoded":
        raise HTTPException(415)
    try:
        pairs = parse_qsl(
            (await request.body()).decode(), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict"
        )
    except ValueError:
        raise HTTPException(400) from None
    fields: dict[str, list[str]] = defaultdict(list)
    for name, value in pairs:
        fields[name].append(value.replace("\r\n", "\n"))
    return Form(fields)


Posted = Callable[[Request, Form, str], Response]
"""Answers a submitted form; the text is unique to its mark and to what was typed, or "" when the mark is not ours and
`form.problem` says so: then nothing may be written, and the page is shown again."""


def posted(marks: Marks, answer: Posted) -> Callable[[Request], Awaitable[Response]]:
    """Return an endpoint that reads the form, looks at its mark, and answers in a thread of its own."""

    async def endpoint(request: Request) -> Response:
        form = await typed(request)
        nonce = marks.spent(session_of(request), form.text(MARK))
        if nonce is None:
            form.problem, form.status = STALE, REFUSED
        token = "" if nonce is None else f"{nonce}.{form.digest()}"
        return await run_in_threadpool(answer, request, form, token)

    return endpoint
