"""What a benchmark found: each figure beside the floor measured in the same run, as text and as JSON."""

import os
import platform
from dataclasses import dataclass
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Goal:
    """What a figure (or its ratio to the floor) ought to be: `side` of `value`."""

    side: Literal["at least", "at most"]
    value: float
    of: Literal["figure", "ratio"] = "figure"

    def met(self, line: "Line") -> bool:
        found = line.figure if self.of == "figure" else line.ratio
        return found >= self.value if self.side == "at least" else found <= self.value

    def text(self, unit: str) -> str:
        return f"{self.side} {number(self.value)}{f' {unit}' if self.of == 'figure' else ' times the floor'}"


@dataclass(frozen=True, slots=True)
class Line:
    """One figure, in its unit; the floor in the same unit."""

    what: str
    figure: float
    unit: str
    floor: float
    goal: Goal | None = None
    note: str = ""

    @property
    def ratio(self) -> float:
        return self.figure / self.floor

    @property
    def met(self) -> bool | None:
        return None if self.goal is None else self.goal.met(self)


@dataclass(frozen=True, slots=True)
class Report:
    """What one benchmark found.

    Args:
        name: of the benchmark.
        how: what was run, and which of several runs counts.
        floor: the program that stands beside it.
        lines: the figures.
    """

    name: str
    how: str
    floor: str
    lines: tuple[Line, ...]


def number(value: float) -> str:
    """Return a number with three digits that say something: 34,344, 1.82, 0.0182."""
    if abs(value) >= 100.0:
        return f"{value:,.0f}"
    return f"{value:.3g}"


def text_of(report: Report) -> str:
    """Return a report as people read it."""
    rows = [_row(line) for line in report.lines]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    table = ["  " + "  ".join([*map(str.ljust, row[:4], widths), row[4]]).rstrip() for row in rows]
    notes = [f"  {line.what}: {line.note}" for line in report.lines if line.note]
    return "\n".join([f"{report.name}: {report.how}", f"  floor: {report.floor}", *table, *notes])


def _row(line: Line) -> tuple[str, str, str, str, str]:
    goal = "" if line.goal is None else f"goal {line.goal.text(line.unit)}: {'met' if line.met else 'MISSED'}"
    figure = f"{number(line.figure)} {line.unit}"
    return line.what, figure, f"floor {number(line.floor)}", f"ratio {number(line.ratio)}", goal


def json_of(report: Report) -> dict[str, Any]:
    """Return a report as programs read it."""
    return {
        "name": report.name,
        "how": report.how,
        "floor": report.floor,
        "lines": [_line_json(line) for line in report.lines],
    }


def _line_json(line: Line) -> dict[str, Any]:
    goal = None if line.goal is None else {"side": line.goal.side, "value": line.goal.value, "of": line.goal.of}
    return {
        "what": line.what,
        "figure": line.figure,
        "unit": line.unit,
        "floor": line.floor,
        "ratio": line.ratio,
        "goal": goal,
        "met": line.met,
        "note": line.note,
    }


def machine() -> dict[str, Any]:
    """Return where this was measured: figures mean little without it."""
    return {
        "python": platform.python_version(),
        "machine": platform.machine(),
        "cores": os.cpu_count(),
        "load": [round(one, 2) for one in os.getloadavg()],
    }


def machine_text() -> str:
    """Return the same in one line."""
    here = machine()
    load = ", ".join(map(str, here["load"]))
    return f"Python {here['python']} on {here['machine']}, {here['cores']} cores; load (1, 5, 15 min) {load}"
