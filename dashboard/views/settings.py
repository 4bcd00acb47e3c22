"""The settings as a form shows them, and which of them are not in use yet."""

from dataclasses import dataclass
from datetime import time
from pathlib import Path
from typing import Any

from station.config import LimitSettings, PlaceSettings, Section, Settings, StrainSettings, UnitSettings
from station.domain.figures import TempUnit, temp_in
from station.settings_file import CHANGEABLE

SECTIONS: dict[str, tuple[type[Section], dict[str, type]]] = {
    "place": (PlaceSettings, {"lat_deg": float, "lon_deg": float, "zone": str}),
    "units": (UnitSettings, {"temperature": str, "amounts": str}),
    "limits": (
        LimitSettings,
        dict.fromkeys(("cold_c", "hot_c", "sun_lx", "bright_lx", "damp_margin_pct", "silent_min"), float),
    ),
    "strain": (StrainSettings, {"evening": time, "drip_until": time, "days_away": tuple}),
}
"""What a page may set, with the kind of each value."""
DAYS = (
    ("mon", "Monday"),
    ("tue", "Tuesday"),
    ("wed", "Wednesday"),
    ("thu", "Thursday"),
    ("fri", "Friday"),
    ("sat", "Saturday"),
    ("sun", "Sunday"),
)
TEMPERATURES = frozenset({"cold_c", "hot_c"})
LABELS = {
    "lat_deg": "Latitude, degrees north",
    "lon_deg": "Longitude, degrees east",
    "zone": "Time zone",
    "temperature": "Temperatures",
    "amounts": "Amounts",
    "cold_c": "Too cold below",
    "hot_c": "Too hot above",
    "sun_lx": "Direct sun from, lx",
    "bright_lx": "Bright from, lx",
    "damp_margin_pct": "Damp: % below what mould needs",
    "silent_min": "Silent after, minutes",
    "evening": "Strain at",
    "drip_until": "Let it drip until",
    "days_away": "Not on",
}
"""What the form calls each key."""


def label_of(key: str, unit: TempUnit) -> str:
    """Return what the form calls a key, with the unit of its field."""
    return f"{LABELS[key]}, °{unit}" if key in TEMPERATURES else LABELS[key]


@dataclass(frozen=True, slots=True)
class SettingsView:
    """Each field's label and text, what an empty limit means, and the days on which nobody strains."""

    labels: dict[str, str]
    texts: dict[str, str]
    empty: dict[str, str]
    days_away: tuple[str, ...]


def settings_view(settings: Settings, file: Settings, unit: TempUnit) -> SettingsView:
    """Return the settings as a form shows them.

    Args:
        settings: as they are set.
        file: as the settings file alone has them.
        unit: that of the limits.
    """
    values = {key: getattr(getattr(settings, name), key) for name, (_, keys) in SECTIONS.items() for key in keys}
    return SettingsView(
        {key: label_of(key, unit) for key in LABELS},
        {key: setting_text(key, value, unit) for key, value in values.items()},
        {key: _empty(key, getattr(file.limits, key), unit) for key in SECTIONS["limits"][1]},
        settings.strain.days_away,
    )


def _empty(key: str, value: float, unit: TempUnit) -> str:
    """Say what a limit is whose field is left empty."""
    amount = setting_text(key, value, unit) + (f" °{unit}" if key in TEMPERATURES else "")
    usual = value == getattr(LimitSettings(), key)
    return f"Empty: {amount}, {'the default' if usual else 'as in the settings file'}."


def setting_text(key: str, value: object, unit: TempUnit) -> str:
    """Return a value as its field shows it; °F to a tenth, because nobody set 60.08."""
    if value is None:
        return ""
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if key in TEMPERATURES and isinstance(value, int | float):
        return f"{round(temp_in(value, unit), 1 if unit == 'F' else 2):g}"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True, slots=True)
class Change:
    """A setting that is not in use as it is set now: section and key, both values, and what its field is called."""

    name: str
    used: str
    set: str
    label: str = ""


def changes(used: Settings, now: Settings, unit: TempUnit = "C") -> tuple[Change, ...]:
    """Return what was set since the programs began, limits in `unit`."""
    return tuple(
        Change(f"{section}.{key}", _shown(key, one, unit), _shown(key, other, unit), label_of(key, unit))
        for section, keys in CHANGEABLE.items()
        for key in sorted(keys)
        if (one := _value(used, section, key)) != (other := _value(now, section, key))
    )


def _value(settings: Settings, section: str, key: str) -> Any:
    return getattr(getattr(settings, section), key)


def _shown(key: str, value: Any, unit: TempUnit) -> str:
    if value is None or value == ():
        return "not set"
    return ", ".join(value) if isinstance(value, tuple) else setting_text(key, value, unit)


INSTALLED = Path("/var/lib/jarside")
"""The data folder where systemd/install set station and pages up."""


def restart_command(folder: Path) -> str:
    """Return what starts station and pages again, given the data folder; "" where they were started by hand."""
    return "sudo systemctl restart jarside-watch jarside-dashboard" if folder == INSTALLED else ""
