"""Settings on a page: place, units, limits and evenings, kept beside the settings file, which stays as it is."""

from collections.abc import Mapping
from datetime import time

from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from dashboard.figures import figure_from
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.views.settings import DAYS, SECTIONS, SettingsView, settings_view
from station.config import Section, Settings
from station.domain.air import celsius
from station.domain.sentences import TempUnit
from station.errors import JarsideError
from station.store.set_up import Value, keep_set_up

TEMPERATURES = frozenset({"cold_c", "hot_c"})
TOGETHER = {
    "lat_deg": "latitude and longitude go together: give both, or neither",
    "cold_c": "too cold must lie more than a degree below too hot",
    "evening": "some evening must be left to strain on",
}
"""What is wrong with a section as a whole, by its first field."""
NOT_HERE = JarsideError("these settings cannot be changed here", "Change them in the settings file.")


class SettingsPages(Area):
    """The settings."""

    def routes(self) -> list[BaseRoute]:
        """Return what is served here."""
        return [*self._frame.form_route("/setup/settings", self.settings, self.changed)]

    def settings(self, request: Request, form: Form) -> Response:
        """The settings as they are set now."""
        return self._frame.filled(
            request,
            "settings",
            form.status,
            form=form,
            view=self._view(),
            days=DAYS,
            unit=self._desk.manner.unit,
            can_set=self._desk.lent.settings is not None,
        )

    def changed(self, request: Request, form: Form, _: str) -> Response:
        """Keep what was set; the same form sent twice sets the same."""
        read = self._desk.lent.settings
        if read is None:
            form.problem = form.problem or NOT_HERE
        typed = {name: self._section(form, name) for name in SECTIONS}
        if not form.ok or read is None:
            return self.settings(request, form)
        file = read(False)
        differing = {name: _differing(typed[name], getattr(file, name)) for name in typed}
        form.kept(lambda: keep_set_up(self._desk.books.folder, differing))
        return elsewhere("/setup#settings") if form.ok else self.settings(request, form)

    def _view(self) -> SettingsView:
        """Return the settings as they will be once the programs begin anew."""
        read = self._desk.lent.settings
        now: Settings = self._desk.settings
        if read is not None:
            try:
                now = read(True)
            except JarsideError:
                now = read(False)  # what was set here is broken: begin from the file
        return settings_view(now, self._desk.manner.unit)

    def _section(self, form: Form, name: str) -> dict[str, Value | None]:
        """Return one section as it was typed, checked as the settings themselves are; errors go to their fields."""
        kind, keys = SECTIONS[name]
        values = {key: self._value(form, key, keys[key]) for key in keys}
        if form.ok:
            _check(form, kind, values)
        return values

    def _value(self, form: Form, key: str, kind: type) -> Value | None:
        if kind is tuple:
            return tuple(form.texts(key))
        if kind is float:
            number = form.read(key, _figure)
            return _in_celsius(number, self._desk.manner.unit) if key in TEMPERATURES else number
        if kind is time:
            return form.needed(key, _clock, "a time is needed", "Write it as 19:00.")
        return form.text(key)


def _check(form: Form, kind: type[Section], values: Mapping[str, Value | None]) -> None:
    given = {key: value for key, value in values.items() if value is not None}
    try:
        kind.model_validate(given)
    except ValidationError as error:
        for one in error.errors():
            field = str(one["loc"][0]) if one["loc"] else next(iter(values))
            form.refuse(field, _wrong(field, one["msg"], whole=not one["loc"]), "Nothing was changed yet.")


def _wrong(field: str, message: str, *, whole: bool) -> str:
    """Say what is wrong in a person's words: the settings' own speak of keys and of °C."""
    if whole:
        return TOGETHER[field]
    if field in TEMPERATURES:
        return "no kitchen shelf is like that"
    return message.removeprefix("Value error, ").replace("Input should be", "it should be")


def _differing(typed: Mapping[str, Value | None], file: Section) -> dict[str, Value]:
    """Return what is not as the settings file has it."""
    return {key: value for key, value in typed.items() if value is not None and not _same(value, getattr(file, key))}


def _same(one: Value, other: object) -> bool:
    if isinstance(one, float) and isinstance(other, int | float):
        return abs(one - other) < 1e-6  # a limit that was shown in °F and not touched
    return bool(one == other)


def _in_celsius(value: float | None, unit: TempUnit) -> float | None:
    if value is None or unit == "C":
        return value
    return round(celsius(value), 2)


def _figure(text: str) -> float:
    value = figure_from(text)
    if not abs(value) < 1e9:
        raise JarsideError(f"{text[:20]!r} is not a number", "Write it as 15.6.")
    return value


def _clock(text: str) -> time:
    try:
        return time.fromisoformat(text)
    except ValueError:
        raise JarsideError(f"{text[:20]!r} is not a time of day", "Write it as 19:00.") from None
