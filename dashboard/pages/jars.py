"""Jars: the list, and one jar's own page."""

from datetime import UTC

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from dashboard.charts import chart_steps
from dashboard.forms import Form
from dashboard.frame import Frame, elsewhere
from dashboard.jar_told import JarTeller
from dashboard.pages.area import Area
from dashboard.views.jar import JarView, jar_view
from dashboard.views.jars import jar_card
from dashboard.views.words import place_in_path
from station.domain.dates import moment_from
from station.domain.jars import Entry, Jar, Noted, NoteTakenBack
from station.domain.observations import Bubbles, Juice, Seen
from station.domain.packing import Cover
from station.domain.signs import Sign

MOST_JARS = 60
"""The list of jars shows this many, the latest."""
ANSWERS = {
    (Sign.JUICE, "yes"): Seen(juice=Juice.SOME),
    (Sign.JUICE, "no"): Seen(juice=Juice.NONE),
    (Sign.BUBBLES, "yes"): Seen(bubbles=Bubbles.FEW),
    (Sign.BUBBLES, "no"): Seen(bubbles=Bubbles.NONE),
}


class JarPages(Area):
    """The jars."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._teller = JarTeller(frame.desk)

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [
            Route("/jars", self.jars),
            Route("/jars/{name}", self.jar),
            Route("/jars/{name}/steps", self.steps),
            self._frame.action("/jars/{name}/sign", self.answered),
            self._frame.action("/jars/{name}/cover", self.covered),
            self._frame.action("/jars/{name}/take-back", self.taken_back),
        ]

    def jars(self, request: Request) -> Response:
        """The jars on the shelf, the longest there first as on the first page; or every jar, the latest first."""
        now_at, books = self._desk.now(), self._desk.books
        everything = request.query_params.get("show") == "all"
        known = books.jars()
        jars = [jar for jar in known if everything or (jar.bottled_at is None and jar.discarded_at is None)]
        with books.shelf.together() as shelf:
            shown = [(jar, shelf.outlook(jar.id)) for jar in jars[:MOST_JARS]][:: 1 if everything else -1]
        cards = [jar_card(jar, outlook, now_at, self._desk.manner) for jar, outlook in shown]
        return self._frame.filled(
            request, "jars", cards=cards, count=len(jars), known=len(known), everything=everything
        )

    def jar(self, request: Request) -> Response:
        """One jar."""
        view = self._view(self._desk.books.jar(request.path_params["name"]))
        return self._frame.filled(request, "jar", view=view, form=Form())

    def steps(self, request: Request) -> Response:
        """What the charts' read-out says, step by step."""
        view = self._view(self._desk.books.jar(request.path_params["name"]))
        charts = [chart for chart in (view.warmth, view.chart) if chart is not None]
        return JSONResponse({one.key: [[step.x, step.text] for step in chart_steps(one)] for one in charts})

    def answered(self, request: Request, form: Form, token: str) -> Response:
        """Whether a first sign shows."""
        jar = self._desk.books.jar(request.path_params["name"])
        sign = form.choice("sign", Sign)
        seen = ANSWERS.get((sign, form.text("answer"))) if sign else None
        if seen is None:
            form.refuse("sign", "there is no answer", "Tap one of the two.")
        return self._noted(request, form, jar, Noted(jar.id, self._desk.now(), "", seen or Seen()), f"{token}/sign")

    def covered(self, request: Request, form: Form, token: str) -> Response:
        """Something else closes it now."""
        jar, cover = self._desk.books.jar(request.path_params["name"]), form.choice("cover", Cover)
        if cover is None:
            form.refuse("cover", "it is not said what closes it now", "Tap one of the two.")
        return self._noted(request, form, jar, Noted(jar.id, self._desk.now(), "", cover=cover), f"{token}/cover")

    def taken_back(self, request: Request, form: Form, token: str) -> Response:
        """A note was a slip."""
        jar, now_at = self._desk.books.jar(request.path_params["name"]), self._desk.now()
        note_at = form.needed(
            "note", lambda text: moment_from(text, UTC), "it is not said which note", "Tap the button beside it."
        )
        taken_back = NoteTakenBack(jar.id, now_at, note_at or now_at)
        return self._noted(request, form, jar, taken_back, f"{token}/take-back")

    def _noted(self, request: Request, form: Form, jar: Jar, noted: Entry, token: str) -> Response:
        """Write an entry of one tap and show the jar again."""

        def write() -> Jar:
            with self._desk.books.writing() as notebook:
                return notebook.record(noted, now_at=self._desk.now(), token=token)

        if form.kept(write) is None:
            return self._frame.filled(request, "jar", form.status, view=self._view(jar), form=form)
        return elsewhere(place_in_path("/jars", jar.id))

    def _view(self, jar: Jar) -> JarView:
        return jar_view(self._teller.told(jar), self._desk.now(), self._desk.manner)
