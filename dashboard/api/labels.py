"""Labels: one alone as a drawing, or chosen ones on sheets of true size."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import Field

from dashboard.api.asking import NO_FIT, UNKNOWN, Name, QueryError, Reference, area
from dashboard.api.models import Model
from dashboard.desk import Desk
from dashboard.labelling import MOST_COPIES, MOST_LABELS, Labelling
from station.domain.label_sheets import paper
from station.domain.labels import Label
from station.labels import label_svg

SVG = "image/svg+xml"
_DRAWN: dict[int | str, dict[str, Any]] = {
    200: {"content": {SVG: {"schema": {"type": "string"}}}, "description": "The label, of true size."}
}


class SheetOut(Model):
    """Sheets of labels, to be printed at their true size, without scaling."""

    paper: str
    width_mm: float = Field(description="Of the paper, mm.")
    height_mm: float = Field(description="Of the paper, mm.")
    pages: list[str] = Field(description="Each sheet as an SVG drawing.")


def label_routes(desk: Desk) -> APIRouter:
    """Return the routes about labels."""
    router, labelling = area("", "labels"), Labelling(desk)
    _add_alone(router, desk, labelling)
    _add_sheets(router, labelling)
    return router


def _add_alone(router: APIRouter, desk: Desk, labelling: Labelling) -> None:
    @router.get(
        "/jars/{name}/label", summary="A jar's label as SVG", response_class=Response, responses=UNKNOWN | _DRAWN
    )
    def of_jar(name: Name) -> Response:
        return _drawn(labelling.of_jar(desk.books.jar(name)))

    @router.get(
        "/bottles/{name}/label", summary="A bottle's label as SVG", response_class=Response, responses=UNKNOWN | _DRAWN
    )
    def of_bottle(name: Name) -> Response:
        return _drawn(labelling.of_bottle(desk.records.bottle(name)))


def _drawn(label: Label) -> Response:
    return Response(label_svg(label), media_type=SVG)


Millimetres = Annotated[float, Query(ge=0, le=300, allow_inf_nan=False)]


def _add_sheets(router: APIRouter, labelling: Labelling) -> None:
    @router.get("/labels", summary="Sheets of labels as SVG, of true size", responses=UNKNOWN | NO_FIT)
    def sheets(
        name: Annotated[
            list[Reference], Query(min_length=1, max_length=MOST_LABELS, description="Whole ids of jars and bottles.")
        ],
        on: Annotated[Literal["a4", "letter"], Query(alias="paper", description="The paper.")] = "a4",
        width_mm: Annotated[Millimetres | None, Query(description="Of a label, mm; together with its height.")] = None,
        height_mm: Annotated[Millimetres | None, Query(description="Of a label, mm; together with its width.")] = None,
        left_mm: Annotated[Millimetres | None, Query(description="To the first label, mm; together with top.")] = None,
        top_mm: Annotated[Millimetres | None, Query(description="To the first label, mm; together with left.")] = None,
        gap_x_mm: Annotated[Millimetres, Query(description="Between columns, mm.")] = 0.0,
        gap_y_mm: Annotated[Millimetres, Query(description="Between rows, mm.")] = 0.0,
        first: Annotated[int, Query(ge=1, le=MOST_LABELS, description="The place of the first label, from 1.")] = 1,
        copies: Annotated[int, Query(ge=1, le=MOST_COPIES, description="So many of each.")] = 1,
    ) -> SheetOut:
        size, margin = (
            _pair("width_mm and height_mm", width_mm, height_mm),
            _pair("left_mm and top_mm", left_mm, top_mm),
        )
        sheet = paper(on, size, margin, (gap_x_mm, gap_y_mm))
        pages = labelling.pages(name, sheet, first, copies)
        return SheetOut(paper=sheet.name, width_mm=sheet.width_mm, height_mm=sheet.height_mm, pages=list(pages))


def _pair(names: str, one: float | None, other: float | None) -> tuple[float, float] | None:
    """Return two measures that go together.

    Raises:
        QueryError: only one of them is said.
    """
    if one is not None and other is not None:
        return one, other
    if (one, other) != (None, None):
        raise QueryError(f"{names} go together", "Give both, or neither.")
    return None
