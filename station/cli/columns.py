"""Rows of facts as people read them: one below the other."""

import unicodedata
from collections.abc import Iterable, Sequence

GAP = "  "


def aligned(rows: Iterable[Sequence[str]]) -> str:
    """Return rows as lines in which each column is as wide as its widest cell; the last column is as long as it is.

    Args:
        rows: cells; a column that is empty in every row is left out.
    """
    lines = [tuple(row) for row in rows]
    width = max((len(line) for line in lines), default=0)
    whole = [(*line, *[""] * (width - len(line))) for line in lines]
    columns = [column for column in range(width) if any(line[column] for line in whole)]
    widths = [max(cells(line[column]) for line in whole) for column in columns]
    return "\n".join(
        GAP.join(_padded(line[column], wide) for column, wide in zip(columns, widths, strict=True)).rstrip()
        for line in whole
    )


def cells(text: str) -> int:
    """Return how many places a text takes on a terminal: wide signs two, combining ones none."""
    return sum(_places(sign) for sign in text)


def _places(sign: str) -> int:
    if unicodedata.combining(sign) or sign in "\u200d\ufe0f":
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1


def _padded(text: str, wide: int) -> str:
    return text + " " * (wide - cells(text))
