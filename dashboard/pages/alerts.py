"""Alerts: open, past, what people did about them, and the ways on which they reach people."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.alerts import (
    ACKNOWLEDGED,
    CHOICES,
    Choice,
    alert_lines,
    answered,
    month_of,
    tested_lines,
    way_lines,
)
from dashboard.views.past_alerts import past_days
from dashboard.way_tests import tested
from station.errors import JarsideError
from station.ports import Answer

MOST_PAST = 300
"""So many alerts of a month are listed at most."""


class AlertPages(Area):
    """The alerts."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [
            *self._frame.form_route("/alerts", self.alerts, self.answered),
            self._frame.action("/alerts/test", self.test),
        ]

    def alerts(self, request: Request, form: Form) -> Response:
        """Open and past alerts."""
        books, now_at, manner = self._desk.books, self._desk.now(), self._desk.manner
        month = month_of(request.query_params.get("month", ""), now_at, manner)
        with books.shelf.together() as shelf:
            past = shelf.alerts(since_at=month.since_at, until_at=month.until_at, limit=MOST_PAST)
            now_open = answered(shelf.alerts(open_only=True), self._records.answers())
        plants = {jar.id: jar.plant for jar in books.jars()}
        ways, latest = way_lines(self._desk.ways(), now_at), self._desk.tests.made
        return self._frame.filled(
            request,
            "alerts",
            form.status,
            alerts=alert_lines(now_open, plants, now_at, manner),
            days=past_days(past, plants, manner),
            most=MOST_PAST if len(past) == MOST_PAST else None,
            form=form,
            stopped=self._desk.stopped(),
            month=month,
            choices=CHOICES,
            acknowledged=ACKNOWLEDGED,
            ways=ways,
            tested=None if latest is None else tested_lines(latest, now_at),
            can_test=self._desk.lent.test_ways is not None and bool(ways),
        )

    def answered(self, request: Request, form: Form, token: str) -> Response:
        """Somebody has seen to an alert, or puts it off."""
        alert_id, choice = form.text("alert"), form.choice("do", Choice)
        if form.problem is None and (choice is None or alert_id not in self._open()):
            form.problem = JarsideError("this alert is no longer open", "See below for those that are.")
        if not form.ok or choice is None:
            return self.alerts(request, form)
        now_at = self._desk.now()
        with self._desk.books.writing() as notebook:
            if choice is Choice.TAKE_BACK:
                notebook.take_back(alert_id, now_at, token=token)
            else:
                notebook.answer(Answer(alert_id, now_at, choice.until_at(now_at, self._desk.manner)), token=token)
        return elsewhere("/" if form.text("back") == "shelf" else "/alerts")

    def test(self, request: Request, form: Form, token: str) -> Response:
        """Send a test on every way."""
        test = self._desk.lent.test_ways
        if not form.ok or test is None:
            return self.alerts(request, form)
        tested(self._desk, token, test)
        return elsewhere("/alerts#ways")

    def _open(self) -> set[str]:
        return {alert.id for alert in self._desk.books.shelf.alerts(open_only=True)}
