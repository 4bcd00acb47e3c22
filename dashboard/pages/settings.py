"""Settings on a page: place, units, limits and evenings, kept beside the settings file, which stays as it is."""

import re
from collections.abc import Mapping
from datetime import time

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute

from dashboard.figures import figure_from
from dashboard.forms import Form
from dashboard.frame import elsewhere
from dashboard.pages.area import Area
from dashboard.settable import faults, keep, settings_now, settings_of_file
from dashboard.views.settings import DAYS, LABELS, SECTIONS, TEMPERATURES, SettingsView, restart_command, settings_view
from station.domain.air import celsius
from station.domain.figures import TempUnit
from station.errors import JarsideError
from station.store.set_up import Value


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
            restart=restart_command(self._desk.books.folder),
            can_set=self._desk.lent.settings is not None,
        )

    def changed(self, request: Request, form: Form, _: str) -> Response:
        """Keep what was set; the same form sent twice sets the same."""
        shown = self._view().texts
        typed = {name: self._section(form, name, shown) for name in SECTIONS}
        form.kept(lambda: keep(self._desk, typed))
        return elsewhere("/setup#settings") if form.ok else self.settings(request, form)

    def _view(self) -> SettingsView:
        desk = self._desk
        return settings_view(settings_now(desk), settings_of_file(desk), desk.manner.unit)

    def _section(self, form: Form, name: str, shown: Mapping[str, str]) -> dict[str, Value | None]:
        """Return one section as it was typed, checked as the settings themselves are; errors go to their fields."""
        held = getattr(settings_now(self._desk), name)
        values = {
            # a limit that was shown in °F and not touched stays as it is, to the last digit
            key: getattr(held, key) if form.text(key) == shown[key] != "" else self._value(form, key, kind)
            for key, kind in SECTIONS[name][1].items()
        }
        for key, what in faults(name, values):
            form.refuse(key, _named(key, what), "Nothing was changed yet.")
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


def _named(key: str, what: str) -> str:
    """Return what is wrong with a field by the field's name: "it should be ..." tells nobody which."""
    name = re.split("[,:]", LABELS[key])[0]
    return f"{name} {what.removeprefix('it ')}" if what.startswith("it ") else what


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
