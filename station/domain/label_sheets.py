"""Sheets of labels: which paper, how many labels it holds, and where each goes."""

from dataclasses import dataclass

from station.errors import JarsideError


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of labels, all measures in mm.

    Args:
        name: what people call it.
        width_mm, height_mm: the paper.
        label_w_mm, label_h_mm: one label.
        left_mm, top_mm: margins to the first label.
        gap_x_mm, gap_y_mm: between labels.

    Raises:
        JarsideError: a label is too small to read, or none fits on the paper.
    """

    name: str
    width_mm: float
    height_mm: float
    label_w_mm: float
    label_h_mm: float
    left_mm: float
    top_mm: float
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0

    def __post_init__(self) -> None:
        check_size(self.label_w_mm, self.label_h_mm)
        if not all(0.0 <= gap <= 100.0 for gap in (self.left_mm, self.top_mm, self.gap_x_mm, self.gap_y_mm)):
            raise JarsideError(f"margins or gaps of sheet {self.name}", "Give 0 to 100 mm.")
        if self.columns < 1 or self.rows < 1:
            raise JarsideError(
                f"labels of {self.label_w_mm:g} × {self.label_h_mm:g} mm do not fit on {self.name}",
                f"The paper is {self.width_mm:g} × {self.height_mm:g} mm; give a smaller size or margin.",
            )

    @property
    def columns(self) -> int:
        """How many labels stand side by side."""
        return _fitting(self.width_mm - self.left_mm, self.label_w_mm, self.gap_x_mm)

    @property
    def rows(self) -> int:
        """How many labels stand one below the other."""
        return _fitting(self.height_mm - self.top_mm, self.label_h_mm, self.gap_y_mm)

    @property
    def places(self) -> int:
        """How many labels a sheet holds."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Return the upper left corner of a place, counted from 0 along the rows."""
        row, column = divmod(place, self.columns)
        x_mm = self.left_mm + column * (self.label_w_mm + self.gap_x_mm)
        return x_mm, self.top_mm + row * (self.label_h_mm + self.gap_y_mm)


LEAST_W_MM, LEAST_H_MM = 40.0, 20.0
MOST_MM = 300.0


def check_size(width_mm: float, height_mm: float) -> None:
    """Refuse a label that cannot be read or printed.

    Raises:
        JarsideError: it is smaller than 40 × 20 mm or larger than 300 mm.
    """
    if not (LEAST_W_MM <= width_mm <= MOST_MM and LEAST_H_MM <= height_mm <= MOST_MM):
        raise JarsideError(
            f"a label of {width_mm:g} × {height_mm:g} mm",
            f"Give at least {LEAST_W_MM:g} × {LEAST_H_MM:g} mm, so that it can be read, and at most {MOST_MM:g} mm.",
        )


def _fitting(room_mm: float, each_mm: float, gap_mm: float) -> int:
    return int((room_mm + gap_mm + 1e-6) // (each_mm + gap_mm))


def paper(
    name: str,
    label_mm: tuple[float, float] | None = None,
    margin_mm: tuple[float, float] | None = None,
    gap_mm: tuple[float, float] = (0.0, 0.0),
) -> Sheet:
    """Return a sheet of A4 or US Letter paper with labels of a size.

    Args:
        name: `a4` (ISO 216, 210 × 297 mm) or `letter` (8.5 × 11 in).
        label_mm: width and height of a label; the default fills the paper with three columns.
        margin_mm: left and top; the default centres the labels.
        gap_mm: between the columns and between the rows.

    Raises:
        JarsideError: the paper is unknown, or the labels do not fit.
    """
    if name not in _PAPERS:
        raise JarsideError(f"paper {name!r} is not known", f"Give one of {', '.join(_PAPERS)}.")
    width_mm, height_mm, usual_mm = _PAPERS[name]
    label_w_mm, label_h_mm = label_mm or usual_mm
    if margin_mm is None:
        margin_mm = (_centred(width_mm, label_w_mm, gap_mm[0]), _centred(height_mm, label_h_mm, gap_mm[1]))
    return Sheet(name, width_mm, height_mm, label_w_mm, label_h_mm, *margin_mm, *gap_mm)


_PAPERS = {"a4": (210.0, 297.0, (64.0, 36.0)), "letter": (215.9, 279.4, (66.0, 38.0))}
PAPERS = tuple(_PAPERS)
EDGE_MM = 5.0
"""What most printers cannot print on."""


def _centred(room_mm: float, each_mm: float, gap_mm: float) -> float:
    if not each_mm > 0.0 or not gap_mm >= 0.0:
        return EDGE_MM
    number = max(1, _fitting(room_mm - 2 * EDGE_MM, each_mm, gap_mm))
    return max(0.0, (room_mm - number * each_mm - (number - 1) * gap_mm) / 2.0)


def laid_out(count: int, sheet: Sheet, first: int = 1) -> tuple[tuple[int, int], ...]:
    """Return where labels go: for each its page and its place on it, both counted from 0.

    Args:
        count: how many labels, 0 or more.
        sheet: the sheet.
        first: the first free place of the first page, counted from 1 along the rows.

    Raises:
        JarsideError: the sheet has no such place.
    """
    if not 1 <= first <= sheet.places:
        raise JarsideError(f"place {first} on a sheet with {sheet.places} labels", f"Give 1 to {sheet.places}.")
    return tuple(divmod(first - 1 + number, sheet.places) for number in range(count))
