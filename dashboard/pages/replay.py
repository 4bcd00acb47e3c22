"""Replay: a stretch of the log played again, with limits and warmth as they might have been."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from threading import Lock

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from dashboard.figures import figure_from
from dashboard.forms import Form
from dashboard.frame import Frame
from dashboard.kept import Kept
from dashboard.pages.area import Area
from dashboard.playing import Played, Stretch
from dashboard.views.replay import ReplayView, WhatIf, replay_view
from station.config import LimitSettings, Settings
from station.domain.air import celsius
from station.domain.dates import day_from
from station.domain.jars import Jar
from station.domain.needs import Needs
from station.domain.outlook import Outlook
from station.domain.sentences import TempUnit
from station.errors import JarsideError

LONGEST_DAYS = 14
WARMED_DAYS = 7
"""A jar that stood there for longer before the stretch is left out: its warmth would take too long to play."""
MOST_SHIFT_C = 15.0
USUAL_DAYS = 7


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: local days, both included, and what is supposed."""

    first: date
    last: date
    what_if: WhatIf


@dataclass(frozen=True, slots=True)
class Cast:
    """The jars of a play.

    Args:
        jars: those that stood there in the stretch, as if they had been left standing.
        gone: the ids of those of them that were strained or discarded in it.
        left_out: the ids of those that stood there for too long before.
    """

    jars: tuple[Jar, ...] = ()
    gone: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


_NOBODY = Cast()


class ReplayPages(Area):
    """The replay."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._kept = Kept(lambda: frame.desk.books.mark()[-1:], most=4)  # the notebook: minutes come all the time
        self._playing = Lock()

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [Route("/replay", self.replay), Route("/replay/frames", self.frames)]

    def replay(self, request: Request) -> Response:
        """The form, and what was played."""
        form = Form.asked(request.query_params)
        asked, view = self._asked(form)
        cast = _NOBODY if asked is None or view is None else self._cast(asked)
        return self._frame.filled(
            request,
            "replay",
            form=form,
            view=view,
            cast=cast,
            number=_number(form.text("moment"), view),
            query=request.url.query,
            defaults=self._defaults(),
            unit=self._desk.manner.unit,
            can_play=self._desk.lent.play is not None,
        )

    def frames(self, request: Request) -> Response:
        """Every moment of the play, drawn as the page draws it."""
        _, view = self._asked(Form.asked(request.query_params))
        frames = () if view is None else view.frames
        parts = [str(self._frame.part("replay_frame", frame=frame)) for frame in frames]
        return JSONResponse({"frames": parts, "when": [one.when for one in frames], "x": [one.x for one in frames]})

    def _asked(self, form: Form) -> tuple[Asked | None, ReplayView | None]:
        """Return what a form asks for, and what was played for it."""
        asked = self._read(form)
        return asked, self._shown(asked) if asked is not None and form.ok else None

    def _defaults(self) -> tuple[date, date]:
        today = self._today()
        return today - timedelta(days=USUAL_DAYS - 1), today

    def _read(self, form: Form) -> Asked | None:
        """Return what the form asks for; None while nothing is asked, or something is wrong with it."""
        if not form.text("since"):
            return None
        first, last = (form.read(name, day_from) for name in ("since", "until"))
        what_if = self._what_if(form)
        if first is None or last is None or not form.ok:
            if form.ok:
                form.refuse("until", "a last day is needed", "Write it as 2026-05-14.")
            return None
        if not timedelta(0) <= last - first < timedelta(days=LONGEST_DAYS):
            form.refuse("until", "the last day must not lie before the first", f"Play up to {LONGEST_DAYS} days.")
            return None
        return Asked(first, last, what_if)

    def _what_if(self, form: Form) -> WhatIf:
        unit, limits = self._desk.manner.unit, self._desk.settings.limits
        cold_c, hot_c = (form.read(name, lambda text: _temp_c(text, unit)) for name in ("cold", "hot"))
        shift_c = form.read("shift", lambda text: _shift_c(text, unit)) or 0.0
        what_if = WhatIf(_other(cold_c, limits.cold_c), _other(hot_c, limits.hot_c), shift_c)
        try:
            _supposed(self._desk.settings, what_if)
        except ValueError:
            form.refuse(
                "hot", "hot must lie more than a degree above cold", "Cold from -10 to 40 °C, hot from 0 to 60."
            )
        return what_if

    def _shown(self, asked: Asked) -> ReplayView | None:
        play = self._desk.lent.play
        if play is None:
            return None
        return self._kept.get((asked, self._ends(asked)), lambda: self._played(asked, play))

    def _played(self, asked: Asked, play: Callable[[Stretch], Played]) -> ReplayView:
        jars = self._cast(asked).jars
        since_at, until_at = self._ends(asked)
        needs, judged = self._learned(until_at)
        stretch = Stretch(since_at, until_at, self._desk.settings, jars, needs=needs, judged=judged)
        what_if = asked.what_if
        supposed = _supposed(self._desk.settings, what_if)
        with self._playing:  # one at a time: it takes all that a small computer has
            plain = play(stretch)
            other = play(replace(stretch, settings=supposed, shift_c=what_if.shift_c)) if what_if.any else None
        return replay_view(plain, other, what_if, jars, self._desk.manner)

    def _learned(self, until_at: datetime) -> tuple[Needs, tuple[Outlook, ...]]:
        """Return what jars judged by then have taught, as the station has it: else the same jar had another evening.

        They have ids of their own, because one of them may be played, too, as if it had been left standing.
        """
        needs = self._records.needs()
        known = {outlook.jar_id: outlook for outlook in self._desk.books.shelf.outlooks()}
        taught = [jar for jar in needs.jars if jar.id in known and jar.judged_at and jar.judged_at < until_at]
        judged = tuple(replace(known[jar.id], jar_id=f"judged {jar.id}") for jar in taught)
        return Needs(tuple(replace(jar, id=f"judged {jar.id}") for jar in taught), needs.entries), judged

    def _ends(self, asked: Asked) -> tuple[datetime, datetime]:
        zone = self._desk.manner.zone
        since_at = datetime.combine(asked.first, time(0), zone)
        until_at = datetime.combine(asked.last + timedelta(days=1), time(0), zone)
        now_at = self._desk.now()
        return since_at, min(until_at, now_at.replace(minute=now_at.minute // 10 * 10, second=0, microsecond=0))

    def _cast(self, asked: Asked) -> Cast:
        """Return the jars to play with."""
        since_at, until_at = self._ends(asked)
        stood = [
            jar
            for jar in self._desk.books.jars()
            if jar.packed_at < until_at and (jar.off_shelf_at is None or jar.off_shelf_at > since_at)
        ]
        begin_at = since_at - timedelta(days=WARMED_DAYS)
        played = [jar for jar in stood if jar.packed_at >= begin_at]
        return Cast(
            tuple(map(_left_standing, played)),
            tuple(jar.id for jar in played if jar.off_shelf_at is not None and jar.off_shelf_at < until_at),
            tuple(jar.id for jar in stood if jar.packed_at < begin_at),
        )


def _left_standing(jar: Jar) -> Jar:
    """Return a jar as if nobody had strained or discarded it: the play says when that would have been due."""
    return replace(jar, strained_at=None, bottled_at=None, discarded_at=None)


def _other(asked_c: float | None, set_c: float) -> float | None:
    """Return a limit that differs from the set one; what a form shows is rounded."""
    return None if asked_c is None or abs(asked_c - set_c) < 0.05 else asked_c


def _supposed(settings: Settings, what_if: WhatIf) -> Settings:
    """Return the settings with the limits that are supposed.

    Raises:
        ValueError: they are not allowed.
    """
    changes = {"cold_c": what_if.cold_c, "hot_c": what_if.hot_c}
    values = settings.limits.model_dump() | {name: at_c for name, at_c in changes.items() if at_c is not None}
    return settings.model_copy(update={"limits": LimitSettings.model_validate(values)})


def _temp_c(text: str, unit: TempUnit) -> float:
    value = _figure(text)
    return value if unit == "C" else celsius(value)


def _shift_c(text: str, unit: TempUnit) -> float:
    shift_c = _figure(text) / (1.0 if unit == "C" else 1.8)
    if abs(shift_c) > MOST_SHIFT_C:
        raise JarsideError(f"{text} is too much", f"Try at most {MOST_SHIFT_C:g} °C either way.")
    return shift_c


def _figure(text: str) -> float:
    value = figure_from(text)
    if not abs(value) < 1000.0:
        raise JarsideError(f"{text[:20]!r} is not a number of degrees", "Write it as 14 or 14.5.")
    return value


def _number(text: str, view: ReplayView | None) -> int:
    last = 0 if view is None else max(len(view.frames) - 1, 0)
    return min(int(text), last) if text.isdecimal() and len(text) < 6 else last
