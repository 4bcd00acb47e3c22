"""The settings as a form shows them."""

from dataclasses import dataclass
from datetime import time

from station.config import LimitSettings, PlaceSettings, Section, Settings, StrainSettings, UnitSettings
from station.domain.sentences import TempUnit, temp_in

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


@dataclass(frozen=True, slots=True)
class SettingsView:
    """Each field's text, and the days on which nobody strains."""

    texts: dict[str, str]
    days_away: tuple[str, ...]


def settings_view(settings: Settings, unit: TempUnit) -> SettingsView:
    """Return the settings as a form shows them; `unit` is that of the limits."""
    values = {key: getattr(getattr(settings, name), key) for name, (_, keys) in SECTIONS.items() for key in keys}
    return SettingsView({key: _text(key, value, unit) for key, value in values.items()}, settings.strain.days_away)


def _text(key: str, value: object, unit: TempUnit) -> str:
    if value is None:
        return ""
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if key in ("cold_c", "hot_c") and isinstance(value, int | float):
        return f"{round(temp_in(value, unit), 2):g}"
    return f"{value:.10g}" if isinstance(value, float) else str(value)
