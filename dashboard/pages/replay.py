"""Replay: a stretch of the log played again, with limits and warmth as they might have been."""

from collections.abc import Callable
from datetime import date, timedelta

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from dashboard.figures import figure_from
from dashboard.forms import Form
from dashboard.frame import Frame
from dashboard.kept import Kept
from dashboard.pages.area import Area
from dashboard.player import LONGEST_DAYS, MOST_SHIFT_C, Asked, Cast, Player, settings_with, supposed
from dashboard.playing import Played, Stretch
from dashboard.views.replay import ReplayView, WhatIf, replay_view
from station.domain.air import celsius
from station.domain.dates import day_from
from station.domain.figures import TempUnit
from station.errors import JarsideError

USUAL_DAYS = 7


_NOBODY = Cast()


class ReplayPages(Area):
    """The replay."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._kept = Kept(frame.desk.books.notebook_mark, most=4)
        self._player = Player(frame.desk)

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [Route("/replay", self.replay), Route("/replay/frames", self.frames)]

    def replay(self, request: Request) -> Response:
        """The form, and what was played."""
        form = Form.asked(request.query_params)
        asked, view = self._asked(form)
        cast = _NOBODY if asked is None or view is None else self._player.cast(asked)
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
        asked = Asked(first, last, what_if)
        if not asked.in_bounds:
            form.refuse("until", "the last day must not lie before the first", f"Play up to {LONGEST_DAYS} days.")
            return None
        return asked

    def _what_if(self, form: Form) -> WhatIf:
        unit, settings = self._desk.manner.unit, self._desk.settings
        cold_c, hot_c = (form.read(name, lambda text: _temp_c(text, unit)) for name in ("cold", "hot"))
        shift_c = form.read("shift", lambda text: _shift_c(text, unit)) or 0.0
        what_if = supposed(settings, cold_c, hot_c, shift_c)
        try:
            settings_with(settings, what_if)
        except JarsideError as error:
            form.blame("hot", error)
        return what_if

    def _shown(self, asked: Asked) -> ReplayView | None:
        play = self._desk.lent.play
        if play is None:
            return None
        return self._kept.get((asked, self._player.ends(asked)), lambda: self._played(asked, play))

    def _played(self, asked: Asked, play: Callable[[Stretch], Played]) -> ReplayView:
        plays = self._player.play(asked, play)
        return replay_view(plays.plain, plays.other, asked.what_if, self._player.cast(asked).jars, self._desk.manner)


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
