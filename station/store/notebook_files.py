"""The notebook as a file, out and in: JSON, or CSV for a spreadsheet. One record an entry, nothing left out."""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from station.errors import JarsideError, NotebookError, StoreError
from station.store.notebook import Notebook
from station.store.notebook_lines import Line, check_stories, kept_lines, line_from, new_lines, write_lines
from station.store.writing_aside import written_aside

FORMAT = "jarside notebook"
VERSION = 1
_LEADING = ("noun", "id", "kind", "at", "recorded_at")
_GUARDED = ("=", "+", "-", "@", "\t", "\r", "'")


@dataclass(frozen=True, slots=True)
class Imported:
    """How many entries were added, and how many were there already."""

    added: int
    known: int


def write_notebook(notebook: Notebook, path: Path, *, overwrite: bool = False) -> int:
    """Write the whole notebook to a file, JSON or CSV by its ending, and return the number of entries.

    Args:
        notebook: the notebook.
        path: ends in .json or .csv.
        overwrite: whether a file that is there may be replaced.

    Raises:
        StoreError: the ending is neither, the file is there already, or it cannot be written.
    """
    lines = kept_lines(notebook)
    text = _json_text(lines) if _is_json(path) else _csv_text(lines)
    with written_aside(path, overwrite=overwrite) as aside:
        aside.write_text(text, encoding="utf-8", newline="")
    return len(lines)


def _is_json(path: Path) -> bool:
    if path.suffix.lower() not in (".json", ".csv"):
        raise StoreError(f"{path} ends in neither .json nor .csv", "Give it one of these endings.")
    return path.suffix.lower() == ".json"


def _json_text(lines: Iterable[Line]) -> str:
    entries = [line.record() for line in lines]
    return json.dumps({"format": FORMAT, "version": VERSION, "entries": entries}, ensure_ascii=False, indent=1) + "\n"


def _csv_text(lines: Iterable[Line]) -> str:
    records = [line.record() for line in lines]
    columns = list(dict.fromkeys([*_LEADING, *(name for record in records for name in record)]))
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([_cell(record, name) for name in columns] for record in records)
    return out.getvalue()


def _cell(record: dict[str, Any], name: str) -> str:
    """A value as a cell: text as it is, all else as JSON; what the record has not is empty, and so is an empty text.

    Text that a spreadsheet would run as a formula, or that reads as JSON, is kept apart by an apostrophe.
    """
    if name not in record:
        return ""
    value = record[name]
    if not isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if value.startswith(_GUARDED) or _reads_as_json(value):
        return f"'{value}"
    return value


def _reads_as_json(text: str) -> bool:
    try:
        json.loads(text, parse_constant=_refused)
    except ValueError:
        return False
    return True


def _refused(constant: str) -> None:
    """Take NaN and Infinity for what they are: no numbers, and no JSON."""
    raise ValueError(f"{constant} is not a number")


def read_notebook(notebook: Notebook, path: Path, *, now_at: datetime) -> Imported:
    """Add the entries of a file to the notebook; those that are there already are left alone. All or none.

    Args:
        notebook: the notebook.
        path: a file that `write_notebook` made.
        now_at: the present, aware.

    Raises:
        StoreError: the file cannot be read or is none of ours.
        NotebookError: an entry cannot be read, or does not fit what is in the notebook; the message names it.
    """
    text = _text_of(path)
    records = list(_json_records(text, path) if _is_json(path) else _csv_records(text, path))
    lines = [_line(record, where) for where, record in records]
    with notebook.writing() as connection:
        fresh = new_lines(connection, lines)
        write_lines(connection, fresh, now_at)
        check_stories(connection, fresh)
    return Imported(len(fresh), len(lines) - len(fresh))


def _text_of(path: Path) -> str:
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:  # a line break within a text stays what it was
            return stream.read()
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}", "Check the name and its permissions.") from error
    except UnicodeDecodeError as error:
        raise StoreError(f"{path} is not UTF-8 text: byte {error.start}", "Save it as UTF-8.") from error


def _json_records(text: str, path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    try:
        read = json.loads(text, parse_constant=_refused)
    except (ValueError, RecursionError) as error:
        raise StoreError(f"{path} is not JSON: {error}", "Give a file that jarside notebook export made.") from error
    if not isinstance(read, dict) or read.get("format") != FORMAT or not isinstance(read.get("entries"), list):
        raise StoreError(f"{path} holds no notebook", "Give a file that jarside notebook export made.")
    if read.get("version") != VERSION:
        raise StoreError(f"{path} is of format {read.get('version')!r}, not {VERSION}", "Update Jarside.")
    for number, record in enumerate(read["entries"], start=1):
        if not isinstance(record, dict):
            raise NotebookError(f"{path}, entry {number}: is no record", "Correct the file.")
        yield f"{path}, entry {number}", record


def _csv_records(text: str, path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header = next(reader, [])
        if not set(_LEADING) <= set(header):
            raise StoreError(f"{path} line 1: the header lacks {', '.join(_LEADING)}", "Give a file of ours.")
        for row in reader:
            where = f"{path} line {reader.line_num}"
            if len(row) != len(header):
                raise NotebookError(f"{where}: {len(row)} cells under {len(header)} names", "Correct the row.")
            yield where, _record({name: cell for name, cell in zip(header, row, strict=True) if cell != ""})
    except csv.Error as error:
        raise StoreError(f"{path} line {reader.line_num}: {error}", "Correct the file.") from error


_MAY_BE_EMPTY = {"filled": "jar_id", "noted": "text"}
"""Fields without a default that may be an empty text, which a cell cannot tell from nothing."""


def _record(cells: dict[str, str]) -> dict[str, Any]:
    record = {name: _value(cell) for name, cell in cells.items()}
    empty = _MAY_BE_EMPTY.get(cells.get("kind", ""))
    return {empty: "", **record} if empty else record


def _value(cell: str) -> Any:
    if cell.startswith("'"):
        return cell[1:]
    try:
        return json.loads(cell, parse_constant=_refused)
    except (ValueError, RecursionError):
        return cell


def _line(record: dict[str, Any], where: str) -> Line:
    try:
        return line_from(record)
    except ValidationError as error:
        first = error.errors()[0]
        field = ".".join(str(part) for part in first["loc"])
        raise NotebookError(f"{where}: {field}: {first['msg']}", "Correct the file.") from None
    except JarsideError as error:
        raise NotebookError((f"{where}: ", *error.pieces), error.remedy) from None
