"""What a reader process says to the station: one line of JSON for each answer."""

import json
import math
from typing import Any

from hardware.parts import Part
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample
from station.errors import SensorError

_VALUES = ("temp_c", "rh_pct", "light_lx")


def ready_line() -> bytes:
    """Return what a reader says when its part is open."""
    return _line({"ready": True})


def refused_line(error: SensorError) -> bytes:
    """Return what a reader says when its part cannot be opened."""
    return _line({"what": error.what, "remedy": error.remedy})


def answer_line(answer: Sample | Miss) -> bytes:
    """Return what a reader says when it was asked."""
    if isinstance(answer, Miss):
        return _line({"miss": answer.reason})
    values = {name: getattr(answer, name) for name in _VALUES if getattr(answer, name) is not None}
    return _line({**values, "saturated": answer.saturated})


def opened(line: bytes) -> SensorError | None:
    """Return why the part cannot be opened, or None when it is open.

    Raises:
        ValueError: nobody can read this.
    """
    said = _said(line)
    if said.get("ready") is True:
        return None
    what, remedy = said.get("what"), said.get("remedy")
    if not isinstance(what, str) or not isinstance(remedy, str):
        raise ValueError("neither ready nor refused")
    return SensorError(what, remedy)


def answered(name: str, line: bytes) -> Sample | Miss:
    """Return the answer in a line.

    Raises:
        ValueError: nobody can read this.
    """
    said = _said(line)
    if "miss" in said:
        return Miss(name, Reason(said["miss"]))
    values = {key: said[key] for key in _VALUES if key in said}
    if not values or not all(_finite(value) for value in values.values()):
        raise ValueError("no finite value")
    return Sample(name, **values, saturated=said.get("saturated") is True)


def part_line(part: Part) -> str:
    """Return a part as the argument of a reader process."""
    return json.dumps({name: getattr(part, name) for name in Part.__slots__})


def part_of(text: str) -> Part:
    """Return the part in the argument of a reader process."""
    return Part(**json.loads(text))


def _line(said: dict[str, Any]) -> bytes:
    return json.dumps(said).encode() + b"\n"


def _said(line: bytes) -> dict[str, Any]:
    said = json.loads(line)
    if not isinstance(said, dict):
        raise ValueError("not an object")
    return said


def _finite(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
