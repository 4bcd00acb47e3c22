"""Log files: CSV with the header `time,temp_c,rh_pct,light_lx`, one row a reading; read as a stream, written whole."""

import csv
import math
import statistics
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice, pairwise
from operator import attrgetter
from pathlib import Path
from typing import TextIO

from station.domain.air import TEMP_HIGH_C, TEMP_LOW_C
from station.domain.readings import Mark, Reading
from station.errors import LogFileError
from station.store.writing_aside import written_aside

COLUMNS = ("time", "temp_c", "rh_pct", "light_lx")
RANGES = {"temp_c": (TEMP_LOW_C, TEMP_HIGH_C), "rh_pct": (0.0, 100.0), "light_lx": (0.0, 200_000.0)}
"""What the parts of a shelf can report at most, by their data sheets; full sun is about 130,000 lx. 85 °C is what a
DS18B20 says when it has not measured yet."""
UNITS = {"temp_c": " °C", "rh_pct": " %", "light_lx": " lx"}
BOOT_ID = "log"
"""Rows of log files have no boot of their own: they share this one, whose seconds count from 1970."""
YEARS = range(1970, 2248)
"""The milliseconds of such a row since 1970 are its key in the shelf log, which has room for 278 years."""
LEAST_CADENCE_S, MOST_CADENCE_S = 1.0, 3600.0
DEFAULT_SPAN_S = 60.0
"""What a lone row stands for."""
FIRST_LOOK = 1000
"""How many rows are looked at to find the cadence."""
REASONS_KEPT = 5
_REMEDY = "Correct the file, or leave bad rows out with --skip-bad."


class _Bad(Exception):  # noqa: N818 - never leaves this module
    """A row that cannot be used, and why."""


class LogReader:
    """A log file, as readings in order of time. It can be gone through more than once.

    Attributes:
        path: the file.
        span_s: the file's cadence: each reading stands for this many seconds.
        rejected: how many bad rows the last pass left out.
        reasons: what was wrong with the first few of them.
    """

    def __init__(self, path: Path, *, skip_bad: bool = False) -> None:
        self.path = path
        self.rejected = 0
        self.reasons: list[str] = []
        self._skip_bad = skip_bad
        with _opened(path) as stream:
            look = _first_look(path, stream)
        self.span_s = look.span_s
        self._fewest_decimals = look.fewest_decimals

    def __iter__(self) -> Iterator[Reading]:
        self.rejected, self.reasons = 0, []
        with _opened(self.path) as stream:
            unended: list[str] = []
            rows = csv.reader(_lines(stream, unended))
            layout = _layout(self.path, next(rows, None))
            last_at = _LONG_AGO
            for cells in rows:
                if not cells:
                    continue
                try:
                    if unended:
                        self._check_end(cells, layout)
                    reading = _reading(cells, layout, last_at, self.span_s)
                except _Bad as bad:
                    self._reject(rows.line_num, bad)
                else:
                    last_at = reading.measured_at
                    yield reading

    def _check_end(self, cells: list[str], layout: "_Layout") -> None:
        """Doubt a last line without a line break whose last number has fewer decimals than all those before."""
        if len(cells) < layout.width or _decimals(cells[-1]) < self._fewest_decimals:
            raise _Bad(f"the last line is cut off after {cells[-1]!r}")

    def _reject(self, line: int, bad: _Bad) -> None:
        reason = f"{self.path} line {line}: {bad}"
        if not self._skip_bad:
            raise LogFileError(reason, _REMEDY)
        self.rejected += 1
        if len(self.reasons) < REASONS_KEPT:
            self.reasons.append(reason)


def read_log(path: Path, *, skip_bad: bool = False) -> LogReader:
    """Open a log file; its rows are read as they are asked for.

    Args:
        path: the file: UTF-8, with or without a byte order mark, any line ends.
        skip_bad: count and leave out rows that cannot be used instead of stopping at the first.

    Returns:
        Something to go through, again and again if need be.

    Raises:
        LogFileError: it cannot be read, is empty, not UTF-8, has another header or a cadence outside 1 s to 1 h;
            while it is gone through, a row that cannot be used.
    """
    return LogReader(path, skip_bad=skip_bad)


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where the columns are, and how many there are with those that are ignored."""

    time: int
    temp: int
    rh: int
    light: int
    width: int


@dataclass(frozen=True, slots=True)
class _FirstLook:
    span_s: float
    fewest_decimals: int


_LONG_AGO = datetime.min.replace(tzinfo=UTC)


@contextmanager
def _opened(path: Path) -> Iterator[TextIO]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            yield stream
    except UnicodeDecodeError as error:
        raise LogFileError(
            f"{path} line {_undecodable_line(path)}: not UTF-8", "Save the file as CSV with UTF-8 encoding."
        ) from error
    except csv.Error as error:
        raise LogFileError(f"{path} is not CSV: {error}", "Save the file as CSV with UTF-8 encoding.") from error
    except OSError as error:
        raise LogFileError(f"{path} cannot be read: {error.strerror}", "Check the name and its permissions.") from error


def _undecodable_line(path: Path) -> int:
    with path.open("rb") as stream:
        return next((number for number, line in enumerate(stream, start=1) if not _is_utf_8(line)), 1)


def _is_utf_8(line: bytes) -> bool:
    try:
        line.decode()
    except UnicodeDecodeError:
        return False
    return True


def _lines(stream: TextIO, unended: list[str]) -> Iterator[str]:
    """Yield the lines, and note one that has no line break: it is the last."""
    for line in stream:
        if line[-1] not in "\r\n":
            unended.append(line)
        yield line


def _layout(path: Path, header: list[str] | None) -> _Layout:
    if header is None:
        raise LogFileError(f"{path} is empty", f"A log file begins with the line {','.join(COLUMNS)}.")
    names = [name.strip() for name in header]
    for column in COLUMNS:
        if names.count(column) != 1:
            fault = "has no" if column not in names else "has more than one"
            raise LogFileError(
                f"{path} line 1: the header {','.join(names)[:80]!r} {fault} {column}",
                f"The header must be {','.join(COLUMNS)}; further columns are ignored.",
            )
    time, temp, rh, light = map(names.index, COLUMNS)
    return _Layout(time, temp, rh, light, len(names))


def _first_look(path: Path, stream: TextIO) -> _FirstLook:
    rows = csv.reader(_lines(stream, []))
    layout = _layout(path, next(rows, None))
    first = [cells for cells in islice(rows, FIRST_LOOK) if len(cells) == layout.width]
    last_cells = [cells[-1] for cells in first[:-1]]
    return _FirstLook(_cadence_s(path, first, layout.time), min(map(_decimals, last_cells), default=0))


def _cadence_s(path: Path, rows: list[list[str]], column: int) -> float:
    times = [at for cells in rows if (at := _time_or_none(cells[column])) is not None]
    steps_s = [(later - earlier).total_seconds() for earlier, later in pairwise(times) if later > earlier]
    cadence_s = statistics.median(steps_s) if steps_s else DEFAULT_SPAN_S
    if not LEAST_CADENCE_S <= cadence_s <= MOST_CADENCE_S:
        raise LogFileError(
            f"{path}: its rows are {cadence_s:g} s apart", "A log file has a row every second to every hour."
        )
    return cadence_s


def _time_or_none(cell: str) -> datetime | None:
    try:
        return _time(cell)
    except _Bad:
        return None


def _decimals(cell: str) -> int:
    return len(cell.partition(".")[2])


def _reading(cells: list[str], layout: _Layout, last_at: datetime, span_s: float) -> Reading:
    if len(cells) != layout.width:
        raise _Bad(f"{len(cells)} cells instead of {layout.width}")
    at = _time(cells[layout.time])
    if at.year not in YEARS:
        raise _Bad(f"time {_iso(at)} is not within {YEARS[0]} to {YEARS[-1]}")
    if at <= last_at:
        raise _Bad(_out_of_order(at, last_at))
    temp_c = _value("temp_c", cells[layout.temp])
    rh_pct = _value("rh_pct", cells[layout.rh])
    light_lx = _value("light_lx", cells[layout.light])
    good = 0 if temp_c is None and rh_pct is None and light_lx is None else 1
    return Reading(at, BOOT_ID, at.timestamp(), temp_c, rh_pct, light_lx, good, 1 - good, True, span_s, Mark.IMPORTED)


def _time(cell: str) -> datetime:
    try:
        at = datetime.fromisoformat(cell)
        if at.tzinfo is UTC:
            return at
        if at.tzinfo is not None:
            return at.astimezone(UTC)
    except (ValueError, OverflowError):
        raise _Bad(f"time {cell!r} is not an ISO 8601 time") from None
    raise _Bad(f"time {cell!r} has no offset and no Z")


def _out_of_order(at: datetime, last_at: datetime) -> str:
    fault = "is there twice" if at == last_at else f"comes after {_iso(last_at)}: the rows are out of order"
    return f"time {_iso(at)} {fault}"


def _value(column: str, cell: str) -> float | None:
    if not cell:
        return None
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    low, high = RANGES[column]
    if low <= value <= high and "_" not in cell:
        return value
    if not cell.strip():
        return None
    raise _Bad(_doubtful(column, cell, value))


def _doubtful(column: str, cell: str, value: float) -> str:
    if not math.isfinite(value) or "_" in cell:
        return f"{column} {cell!r} is not a number"
    low, high = RANGES[column]
    return f"{column} {cell} is outside {low:g} to {high:g}{UNITS[column]}"


def write_log(path: Path, readings: Iterable[Reading], *, overwrite: bool = False) -> int:
    """Write a log file, whole or not at all; `read_log` gives the same times and values back.

    Args:
        path: the file to make.
        readings: in order of time.
        overwrite: whether a file that is there already may be replaced.

    Returns:
        How many rows were written; a reading that is not later than the one before it gets none.

    Raises:
        StoreError: the file is there already, or cannot be written.
    """
    with written_aside(path, overwrite=overwrite) as aside, aside.open("w", encoding="utf-8", newline="") as stream:
        return write_rows(stream, readings)


def write_rows(stream: TextIO, readings: Iterable[Reading]) -> int:
    """Write the header and the rows to an open stream; as `write_log`."""
    count = 0
    for line in log_lines(readings):
        stream.write(line)
        count += 1
    return count - 1


def log_lines(readings: Iterable[Reading]) -> Iterator[str]:
    """Yield the lines of a log file: the header, then a line for each reading that is later than the one before."""
    yield ",".join(COLUMNS) + "\n"
    last_at = _LONG_AGO
    for reading in readings:
        if reading.measured_at > last_at:
            last_at = reading.measured_at
            cells = ["" if value is None else str(value) for value in _CELLS(reading)]
            yield f"{_iso(last_at)},{','.join(cells)}\n"


_CELLS = attrgetter("temp_c", "rh_pct", "light_lx")


def _iso(at: datetime) -> str:
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")
