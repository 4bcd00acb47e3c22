"""Readable ids: made from what a thing is called, and found again by their beginning."""

import re
import sqlite3
import unicodedata
from collections.abc import Container, Sequence

from station.errors import UnknownNameError

_SHOWN = 5


def slug(name: str, empty: str = "jar") -> str:
    """Return a name as the stem of an id: small letters a to z, digits and hyphens; `empty` if nothing is left."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-") or empty


def numbered(connection: sqlite3.Connection, stem: str, taken: Container[str], counter: str) -> str:
    """Return the next free id of the form stem-number, inside a write transaction; no number is given twice.

    Args:
        connection: to the notebook.
        stem: what the id begins with.
        taken: ids that there are, wherever they came from.
        counter: under which name the numbers of this stem are counted.
    """
    sql = (
        "INSERT INTO numbers (stem, last) VALUES (?, 1) ON CONFLICT (stem) DO UPDATE SET last = last + 1 RETURNING last"
    )
    while True:
        name = f"{stem}-{connection.execute(sql, (counter,)).fetchone()[0]}"
        if name not in taken:
            return name


def chosen(
    name: str, ids: Sequence[str], noun: str = "jar", listing: str = "jarside jar list --all", page: str = "Jars"
) -> str:
    """Return the one id that is `name` or begins with it.

    Args:
        name: as typed.
        ids: all there are.
        noun: what they are ids of.
        listing: the command that lists them.
        page: the page that does.

    Raises:
        UnknownNameError: none does, or more than one.
    """
    if name in ids:
        return name
    found = [one for one in ids if name and one.startswith(name)]
    if len(found) > 1:
        more = f" and {len(found) - _SHOWN} more" if len(found) > _SHOWN else ""
        raise UnknownNameError(f"{name} could be {', '.join(found[:_SHOWN])}{more}", "Write more of the id.")
    if not found:
        raise unknown(name, noun, listing, page)
    return found[0]


def unknown(
    name: str, noun: str = "jar", listing: str = "jarside jar list --all", page: str = "Jars"
) -> UnknownNameError:
    """Return the error of an id that is not there."""
    return UnknownNameError(
        f"there is no {noun} {name or '(empty)'}", f"See them all: {listing}.", f"See them all: {page}."
    )
