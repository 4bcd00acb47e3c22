"""What may be set without the settings file: checked as the settings themselves are, kept beside them, and waiting."""

from collections.abc import Mapping

from pydantic import ValidationError

from dashboard.desk import Desk
from dashboard.views.settings import SECTIONS, TEMPERATURES, Change, changes
from station.config import Section, Settings
from station.domain.figures import TempUnit
from station.errors import JarsideError
from station.store.set_up import Value, keep_set_up

TOGETHER = {
    "lat_deg": "latitude and longitude go together: give both, or neither",
    "cold_c": "too cold must lie more than a degree below too hot",
    "evening": "some evening must be left to strain on",
}
"""What is wrong with a section as a whole, by its first field."""

Typed = Mapping[str, Value | None]
"""The values of one section, by key; None is what was left empty."""


def settings_now(desk: Desk) -> Settings:
    """Return the settings as they will be once the programs begin anew."""
    read = desk.lent.settings
    if read is None:
        return desk.settings
    try:
        return read(True)
    except JarsideError:
        return read(False)  # what was set here is broken: begin from the file


def settings_of_file(desk: Desk) -> Settings:
    """Return the settings without what was set on the pages."""
    return desk.lent.settings(False) if desk.lent.settings else desk.settings


def waiting(desk: Desk, unit: TempUnit = "C") -> tuple[Change, ...]:
    """Return what was set and is not in use yet, limits in `unit`; nothing where settings cannot be read anew."""
    read = desk.lent.settings
    if read is None:
        return ()
    try:
        return changes(desk.settings, read(True), unit)
    except JarsideError as error:
        return (Change(error.page_what_in(desk.manner.zone), "", error.page_remedy),)


def faults(section: str, typed: Typed) -> list[tuple[str, str]]:
    """Return what is wrong with the values of a section: each fault with the key it belongs to."""
    kind, _ = SECTIONS[section]
    try:
        kind.model_validate({key: value for key, value in typed.items() if value is not None})
    except ValidationError as error:
        return [_fault(one["loc"], one["msg"], next(iter(typed))) for one in error.errors()]
    return []


def _fault(place: tuple[int | str, ...], message: str, first: str) -> tuple[str, str]:
    """Say what is wrong in a person's words: the settings' own speak of keys and of °C."""
    if not place:
        return first, TOGETHER[first]
    key = str(place[0])
    if key in TEMPERATURES:
        return key, "no kitchen shelf is like that"
    return key, message.removeprefix("Value error, ").replace("Input should be", "it should be")


def keep(desk: Desk, typed: Mapping[str, Typed]) -> None:
    """Keep what differs from the settings file.

    Args:
        desk: whose settings they are.
        typed: faultless values, by section.

    Raises:
        JarsideError: nothing can be set here.
        StoreError: it cannot be written.
    """
    read = desk.lent.settings
    if read is None:
        raise JarsideError("these settings cannot be changed here", "Change them in the settings file.")
    file = read(False)
    keep_set_up(desk.books.folder, {name: _differing(values, getattr(file, name)) for name, values in typed.items()})


def _differing(typed: Typed, file: Section) -> dict[str, Value]:
    """Return what is not as the settings file has it."""
    return {key: value for key, value in typed.items() if value is not None and not _same(value, getattr(file, key))}


def _same(one: Value, other: object) -> bool:
    if isinstance(one, float) and isinstance(other, int | float):
        return abs(one - other) < 1e-6  # a limit that was shown in °F and not touched
    return bool(one == other)
