"""Survey: was this a good spot, and how does it compare with another stretch, or with a log from elsewhere?"""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.forms import Form
from dashboard.frame import Frame
from dashboard.kept import Kept
from dashboard.other_logs import folder_of_logs, log_files
from dashboard.pages.area import Area
from dashboard.views.spans import Span
from dashboard.views.survey import SpotView, spot_view
from station.domain.dates import day_from
from station.domain.moments import date_text, day_text
from station.errors import JarsideError
from station.store.log_files import read_log

LONGEST_DAYS = 31
USUAL_DAYS = 7


@dataclass(frozen=True, slots=True)
class Days:
    """Some local days, both ends included."""

    first: date
    last: date


class SurveyPages(Area):
    """The survey."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._kept = Kept(frame.desk.books.mark, most=6)

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [Route("/survey", self.survey)]

    def survey(self, request: Request) -> Response:
        """One spot, or two side by side."""
        form = Form.asked(request.query_params)
        usual = self._usual(form)
        days = self._days(form, "since", "until", usual)
        files = log_files(self._desk)
        spots = self._spots(form, days, files) if days is not None else ()
        return self._frame.filled(
            request,
            "survey",
            form=form,
            spots=spots if form.ok else (),
            usual=usual,
            files=tuple((path.name, path.stem) for path in files),
            folder=folder_of_logs(self._desk),
        )

    def _spots(self, form: Form, days: Days, files: list[Path]) -> tuple[SpotView, ...]:
        other = self._other(form, files)
        if not form.ok:
            return ()
        here = self._kept.get(days, lambda: self._surveyed(days))
        return (here,) if other is None else (here, other)

    def _other(self, form: Form, files: list[Path]) -> SpotView | None:
        """Return the spot to compare with; None where none is asked for."""
        name = form.text("file")
        if name:
            path = next((path for path in files if path.name == name), None)
            if path is None:
                form.refuse("file", "there is no such log file", "Choose one of the list.")
                return None
            return self._from_file(form, path)
        if not form.text("from"):
            return None
        days = self._days(form, "from", "to", None)
        return None if days is None else self._kept.get(days, lambda: self._surveyed(days))

    def _from_file(self, form: Form, path: Path) -> SpotView | None:
        try:
            return self._kept.get((path, path.stat().st_mtime_ns), lambda: self._read(path))
        except JarsideError as error:
            form.blame("file", error)
            return None

    def _read(self, path: Path) -> SpotView:
        log = read_log(path, skip_bad=True)
        view = spot_view(path.stem, log, self._desk.manner)
        return replace(view, name=f"{view.name}, {log.rejected} bad rows left out") if log.rejected else view

    def _surveyed(self, days: Days) -> SpotView:
        zone, shelf = self._desk.manner.zone, self._desk.books.shelf
        since_at = datetime.combine(days.first, time(0), zone)
        until_at = datetime.combine(days.last + timedelta(days=1), time(0), zone)
        name = f"{day_text(since_at, zone)} to {date_text(until_at - timedelta(hours=1), zone)}"
        return spot_view(name, shelf.readings(since_at, until_at), self._desk.manner)

    def _usual(self, form: Form) -> Days:
        """Return the days a form begins with: those of the climate page one came from, or the last week."""
        today = self._today()
        span = form.text("span")
        length = min(Span(span).days if span in tuple(Span) else USUAL_DAYS, LONGEST_DAYS)
        last = form.read("until", day_from) or today
        return Days(last - timedelta(days=length - 1), last)

    def _days(self, form: Form, since: str, until: str, usual: Days | None) -> Days | None:
        first, last = (form.read(name, day_from) for name in (since, until))
        if usual is not None and form.ok:
            first, last = first or usual.first, last or usual.last
        if not form.ok:
            return None
        if first is None or last is None:
            form.refuse(until, "both ends are needed", "Write them as 2026-05-14.")
        elif not timedelta(0) <= last - first < timedelta(days=LONGEST_DAYS):
            form.refuse(until, "the last day must not lie before the first", f"Survey up to {LONGEST_DAYS} days.")
        else:
            return Days(first, last)
        return None
