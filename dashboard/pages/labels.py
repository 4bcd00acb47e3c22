"""Labels: one alone, or chosen ones on a sheet that the browser prints."""

import re

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from dashboard.figures import count_up_to
from dashboard.forms import Form
from dashboard.frame import Frame
from dashboard.labelling import MOST_COPIES, Labelling
from dashboard.pages.area import Area
from dashboard.views.labels import Choice, bottle_choice, jar_choice, safe_svg
from station.domain.addresses import leads_elsewhere
from station.domain.label_sheets import PAPERS, Sheet, paper
from station.domain.labels import Label
from station.domain.quantities import Measures
from station.errors import JarsideError
from station.labels import label_svg

_PAIR = re.compile(r"(\d{1,4}(?:[.,]\d+)?)\s*[x×]\s*(\d{1,4}(?:[.,]\d+)?)")
SIZES = frozenset({"size", "margin", "gap", "copies"})
"""The fields under "More"."""


class LabelPages(Area):
    """The labels."""

    def __init__(self, frame: Frame) -> None:
        super().__init__(frame)
        self._labelling = Labelling(frame.desk)

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [
            Route("/labels", self.labels),
            Route("/labels/sheet", self.sheet),
            Route("/jars/{name}/label", self.of_jar),
            Route("/bottles/{name}/label", self.of_bottle),
        ]

    def labels(self, request: Request) -> Response:
        """What is to be printed, and on which paper."""
        return self._shown(request, Form.asked(request.query_params))

    def sheet(self, request: Request) -> Response:
        """The sheet itself, to be printed at once."""
        form = Form.asked(request.query_params)
        if not form.texts("name"):
            form.refuse("name", "nothing is chosen", "Tick at least one jar or bottle.")
        if not form.text("paper"):
            form.refuse("paper", "no paper is chosen", f"Choose one of {', '.join(PAPERS)}.")
        count = count_up_to(MOST_COPIES)
        sheet, first, copies = _sheet(form), form.read("first", count), form.read("copies", count) or 1
        if sheet is None:
            return self._shown(request, form)
        pages = form.kept(lambda: self._labelling.pages(form.texts("name"), sheet, first or 1, copies))
        if pages is None:
            return self._shown(request, form)
        return self._frame.filled(request, "label_sheet", pages=[safe_svg(one) for one in pages], paper=sheet.name)

    def of_jar(self, request: Request) -> Response:
        """A jar's label alone."""
        return self._alone(request, self._labelling.of_jar(self._desk.books.jar(request.path_params["name"])))

    def of_bottle(self, request: Request) -> Response:
        """A bottle's label alone."""
        bottle = self._records.bottle(request.path_params["name"])
        return self._alone(request, self._labelling.of_bottle(bottle))

    def _alone(self, request: Request, label: Label) -> Response:
        drawn = safe_svg(label_svg(label))
        return self._frame.filled(request, "label", label=label, drawn=drawn, reachable=leads_elsewhere(label.url))

    def _shown(self, request: Request, form: Form) -> Response:
        now_at, manner = self._desk.now(), self._desk.manner
        jars = [jar for jar in self._desk.books.jars() if jar.bottled_at is None and jar.discarded_at is None]
        bottles = [bottle for bottle in self._records.bottles() if bottle.in_store]
        choices: list[Choice] = [
            *(jar_choice(jar, now_at, manner) for jar in jars),
            *(bottle_choice(bottle, manner) for bottle in bottles),
        ]
        return self._frame.filled(
            request,
            "labels",
            form.status,
            form=form,
            choices=choices,
            ticked=frozenset(text for key in ("name", "jar", "bottle") for text in form.texts(key)),
            papers=[(name, name) for name in PAPERS],
            usual="letter" if manner.measures is Measures.US else "a4",
            more=any(form.text(name) for name in SIZES),
            reachable=leads_elsewhere(self._labelling.address),
        )


def _sheet(form: Form) -> Sheet | None:
    """Return the sheet that a form asks for; None where it cannot be, and the form says why."""
    size, margin, gap = (form.read(name, _millimetres) for name in ("size", "margin", "gap"))
    return form.read("paper", lambda name: paper(name, size, margin, gap or (0.0, 0.0))) if form.ok else None


def _millimetres(text: str) -> tuple[float, float]:
    match = _PAIR.fullmatch(text.strip().lower())
    if match is None:
        raise JarsideError(f"{text!r} cannot be read", "Write millimetres such as 63.5 x 38.1.")
    return float(match[1].replace(",", ".")), float(match[2].replace(",", "."))
