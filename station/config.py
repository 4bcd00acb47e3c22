"""The settings file: found, read, checked, and explained when it is wrong."""

import os
import tomllib
from datetime import time
from pathlib import Path
from typing import Annotated, Any, Literal, get_args
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, SecretStr, ValidationError, model_validator

from station.domain.guidance import Limits
from station.domain.needs import Beginning
from station.domain.readiness import LOG_SD, LOG_SD_BOUNDS, NEED_BOUNDS, NEED_WARM_DAYS
from station.domain.storage import KEEPING, Keeping
from station.domain.sun import Place
from station.domain.warmth import BASE_C, BASES_C
from station.domain.way import BROKER
from station.errors import SettingsError

APP = "jarside"
ENVIRONMENT = "JARSIDE_CONFIG"
SET_UP = "set-up.toml"
"""In the data folder: what was set on the pages. It goes over the settings file, which the pages cannot write."""
CHANGEABLE: dict[str, frozenset[str]] = {
    "place": frozenset({"lat_deg", "lon_deg", "zone"}),
    "units": frozenset({"temperature", "amounts"}),
    "limits": frozenset({"cold_c", "hot_c", "sun_lx", "bright_lx", "damp_margin_pct", "silent_min"}),
    "strain": frozenset({"evening", "drip_until", "days_away"}),
}
"""What may be set there: nothing that says who may come in, or where messages go."""


def _known_zone(name: str) -> str:
    if name not in available_timezones():
        raise ValueError("is not a time zone of the IANA list, such as Europe/Lisbon")
    return name


def _host_name(name: str) -> str:
    plain = name.isascii() and all(sign.isalnum() or sign in "-_.:" for sign in name)
    if not plain or not all(0 < len(label) < 64 for label in name.removesuffix(".").split(".")):
        raise ValueError("is not the name or address of a machine, such as broker.home.arpa or 192.168.1.20")
    return name


Zone = Annotated[str, AfterValidator(_known_zone)]
Host = Annotated[str, AfterValidator(_host_name)]


class Section(BaseModel):
    """A part of the settings: frozen, and unknown keys are refused."""

    # Python's own expressions are loaded anyway; the other engine takes 0.3 MB of the station for four short patterns.
    model_config = ConfigDict(frozen=True, extra="forbid", regex_engine="python-re")


class PlaceSettings(Section):
    """Where the shelf is: for the sun, and for local times."""

    lat_deg: float | None = Field(None, ge=-90, le=90)
    lon_deg: float | None = Field(None, ge=-180, le=180)
    zone: Zone = "UTC"

    @model_validator(mode="after")
    def _both_or_none(self) -> "PlaceSettings":
        if (self.lat_deg is None) != (self.lon_deg is None):
            raise ValueError("give both lat_deg and lon_deg, or neither")
        return self

    @property
    def known(self) -> Place | None:
        """Where the shelf is, or None if the settings do not say."""
        return None if self.lat_deg is None or self.lon_deg is None else Place(self.lat_deg, self.lon_deg)


class UnitSettings(Section):
    """How people read temperatures and amounts."""

    temperature: Literal["C", "F"] = "C"
    amounts: Literal["metric", "us"] = "metric"


class SensorSettings(Section):
    """One part that measures."""

    name: str = Field(min_length=1, max_length=40, pattern=r"^[a-z0-9][a-z0-9-]*\Z")
    part: Literal["dht22", "dht11", "photoresistor", "mcp3008", "bh1750", "veml7700", "ds18b20"]
    role: Literal["shelf", "jar"] = "shelf"
    pin: int | None = Field(None, ge=0, le=27)
    channel: int | None = Field(None, ge=0, le=7)
    address: int | None = Field(None, ge=3, le=0x77)
    serial: str | None = Field(None, pattern=r"^28-[0-9a-f]{12}\Z")
    capacitor_uf: float = Field(10.0, gt=0, le=1000)
    resistor_ohm: float = Field(1000.0, ge=100, le=1_000_000)
    spacing_s: float | None = Field(None, ge=0.5, le=60)


class SignalSettings(Section):
    """Lamp, buzzer and button; a pin left out means the part is not there."""

    red_pin: int | None = Field(None, ge=0, le=27)
    green_pin: int | None = Field(None, ge=0, le=27)
    blue_pin: int | None = Field(None, ge=0, le=27)
    buzzer_pin: int | None = Field(None, ge=0, le=27)
    button_pin: int | None = Field(None, ge=0, le=27)
    common_anode: bool = False


class LimitSettings(Section):
    """Where conditions are raised; the defaults and their basis are in station/domain/guidance.py."""

    cold_c: float = Field(Limits().cold_c, ge=-10, le=40)
    hot_c: float = Field(Limits().hot_c, ge=0, le=60)
    sun_lx: float = Field(Limits().sun_lx, ge=100, le=100_000)
    bright_lx: float = Field(Limits().bright_lx, ge=10, le=50_000)
    damp_margin_pct: float = Field(Limits().damp_margin_pct, ge=0, le=40)
    silent_min: float = Field(Limits().silent_s / 60, ge=2, le=1440)

    @model_validator(mode="after")
    def _cold_below_hot(self) -> "LimitSettings":
        if self.cold_c + 1.0 >= self.hot_c:
            raise ValueError(f"cold_c = {self.cold_c} must lie more than 1 °C below hot_c = {self.hot_c}")
        return self

    def limits(self) -> Limits:
        """Return them as the domain's own value."""
        return Limits(
            self.cold_c, self.hot_c, self.sun_lx, self.bright_lx, self.damp_margin_pct, self.silent_min * 60.0
        )


class StrainSettings(Section):
    """When this grower strains, and what is believed of a plant nothing is known of yet."""

    evening: time = time(19, 0)
    drip_until: time = time(7, 0)
    days_away: tuple[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"], ...] = ()
    need_warm_days: float = Field(NEED_WARM_DAYS, ge=NEED_BOUNDS[0], le=NEED_BOUNDS[1])
    need_log_sd: float = Field(LOG_SD, ge=LOG_SD_BOUNDS[0], le=LOG_SD_BOUNDS[1])
    base_c: float = Field(BASE_C, ge=BASES_C[0], le=BASES_C[-1])

    @model_validator(mode="after")
    def _some_day_left(self) -> "StrainSettings":
        if len(set(self.days_away)) == 7:
            raise ValueError("days_away leaves no evening to strain on")
        return self

    def beginning(self) -> Beginning:
        """Return what is believed of a plant nothing is known of yet, as the domain's own value."""
        return Beginning(self.need_warm_days, self.need_log_sd, self.base_c)


class KeepingSettings(Section):
    """How long juice keeps, in days: in the cool (1 to 15 °C) and in the room."""

    cool_days: float = Field(KEEPING.cool_days, ge=1, le=3650)
    room_days: float = Field(KEEPING.room_days, ge=1, le=3650)

    def keeping(self) -> Keeping:
        """Return it as the domain's own value."""
        return Keeping(self.cool_days, self.room_days)


class QuietSettings(Section):
    """Local hours in which nothing but `hot` and `silent` reaches a phone."""

    from_: time = Field(time(21, 30), alias="from")
    until: time = time(6, 30)


class DashboardSettings(Section):
    """Where the pages are served."""

    host: str = "127.0.0.1"
    port: int = Field(8420, ge=1, le=65535)
    allowed_hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "::1")
    """Names under which the pages may be asked for; any other is refused, so that no foreign page can pose as this."""


class MqttSettings(Section):
    """The broker; nothing is sent until `host` is set. A CA file means TLS."""

    host: Host | None = None
    port: int = Field(1883, ge=1, le=65535)
    username: str | None = Field(None, min_length=1, max_length=200)
    password_file: Path | None = None
    tls: bool = False
    ca_file: Path | None = None
    keepalive_s: int = Field(60, ge=5, le=300)
    commands: bool = False

    @model_validator(mode="after")
    def _password_of_someone(self) -> "MqttSettings":
        if self.password_file is not None and self.username is None:
            raise ValueError("password_file is given without username")
        return self

    @property
    def encrypted(self) -> bool:
        """Whether the connection uses TLS."""
        return self.tls or self.ca_file is not None


def _not_the_broker(name: str) -> str:
    """Two ways of one name could not be told apart in what is said of them."""
    if name == BROKER:
        raise ValueError(f"{BROKER!r} is what the way to the broker is called")
    return name


class TargetSettings(Section):
    """One way to a person; the address often holds a secret, so it is never shown."""

    name: Annotated[str, AfterValidator(_not_the_broker)] = Field(
        min_length=1, max_length=40, pattern=r"^[a-z0-9][a-z0-9-]*\Z"
    )
    address: SecretStr = Field(min_length=1)


class Settings(Section):
    """All settings. Every key has a default, so an empty file is a valid one."""

    station: str = Field("shelf", min_length=1, max_length=40, pattern=r"^[a-z0-9][a-z0-9-]*\Z")
    data: Path | None = None
    place: PlaceSettings = PlaceSettings()
    units: UnitSettings = UnitSettings()
    limits: LimitSettings = LimitSettings()
    strain: StrainSettings = StrainSettings()
    keeping: KeepingSettings = KeepingSettings()
    quiet: QuietSettings = QuietSettings()
    dashboard: DashboardSettings = DashboardSettings()
    signal: SignalSettings = SignalSettings()
    sensors: tuple[SensorSettings, ...] = ()
    mqtt: MqttSettings = MqttSettings()
    notify: tuple[TargetSettings, ...] = ()

    @model_validator(mode="after")
    def _names_differ(self) -> "Settings":
        for what, listed in (("sensors", self.sensors), ("notify targets", self.notify)):
            names = [one.name for one in listed]
            double = next((name for name in names if names.count(name) > 1), None)
            if double is not None:
                raise ValueError(f"two {what} are called {double!r}")
        return self

    @property
    def zone(self) -> ZoneInfo:
        """The zone of local times."""
        return ZoneInfo(self.place.zone)

    @property
    def data_folder(self) -> Path:
        """Where `shelf.db` and `notebook.db` live."""
        return self.data or _usual_data_folder()


def _usual_data_folder() -> Path:
    import platformdirs  # here, because an installed station is told its folder and would carry 0.4 MB for nothing

    return Path(platformdirs.user_data_dir(APP, appauthor=False))


def candidates() -> tuple[Path, ...]:
    """Return where a settings file is looked for when none is named, in order."""
    import platformdirs

    named = os.environ.get(ENVIRONMENT)
    usual = (
        Path(platformdirs.user_config_dir(APP, appauthor=False)) / "jarside.toml",
        Path("/etc/jarside/jarside.toml"),
    )
    return (Path(named), *usual) if named else usual


def load(path: Path | None = None, changes: tuple[str, ...] = (), over: Path | None = None) -> Settings:
    """Read the settings.

    Args:
        path: the file; None looks in the usual places and takes the defaults when there is none.
        changes: `section.key=value` strings that override the file.
        over: a file with what was set on the pages, which goes over the first; None or a missing one changes nothing.

    Raises:
        SettingsError: the file is missing or unreadable, or a key or a value is not allowed.
    """
    named = path or (Path(os.environ[ENVIRONMENT]) if os.environ.get(ENVIRONMENT) else None)
    found = named or next((one for one in candidates() if one.is_file()), None)
    values = _parsed(found) if found else {}
    where = [str(found)] if found else []
    if over is not None and over.is_file():
        _put_over(values, over)
        where.append(str(over))
    for change in changes:
        _apply(values, change)
    return _checked(values, " with ".join(where) or "settings")


def check_set_up(path: Path) -> None:
    """Refuse a file that cannot be what was set on the pages; its values are judged with the settings it goes over.

    Raises:
        SettingsError: it cannot be read, or holds what may not be set there.
    """
    _put_over({}, path)


def _put_over(values: dict[str, Any], path: Path) -> None:
    """Put what was set on the pages over the parsed settings.

    Raises:
        SettingsError: it holds what may not be set there.
    """
    for section, keys in _parsed(path).items():
        allowed = CHANGEABLE.get(section, frozenset())
        strange = sorted(set(keys) - allowed) if isinstance(keys, dict) else [section]
        if strange or not allowed:
            raise SettingsError(
                f"{path}: {section}: {', '.join(strange) or 'it'} may not be set here", "Set it in the settings file."
            )
        values[section] = {**values.get(section, {}), **keys}


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise SettingsError(f"{path}: there is no such settings file", "Write one with: jarside init.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsError(f"{path}: cannot be read ({error})", "Check the path and its permissions.") from error
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{path}: not valid TOML ({error})", "Correct that line.") from error


def _apply(values: dict[str, Any], change: str) -> None:
    """Put one `section.key=value` into the parsed settings."""
    name, sign, text = change.partition("=")
    *sections, key = name.strip().split(".")
    if not sign or not key:
        raise SettingsError(f"--set {change}: not of the form section.key=value", "Example: --set limits.cold_c=14.")
    for section in sections:
        values = values.setdefault(section, {})
        if not isinstance(values, dict):
            raise SettingsError(f"--set {change}: {section} is not a section", "Example: --set limits.cold_c=14.")
    try:
        values[key] = tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        values[key] = text.strip()


def _checked(values: dict[str, Any], where: str) -> Settings:
    try:
        return Settings.model_validate(values)
    except ValidationError as error:
        first = error.errors()[0]
        raise SettingsError(*_explained(first["loc"], first["type"], first["msg"], first["input"], where)) from None


def _explained(loc: tuple[int | str, ...], kind: str, reason: str, value: Any, where: str) -> tuple[str, str]:
    """Return what is wrong and what to do, for one complaint of the checker."""
    key = ".".join(str(part) for part in loc)
    if kind == "extra_forbidden":
        known = ", ".join(_known_keys(loc[:-1]))
        return f"{where}: {key} is not a setting", f"Known here: {known}."
    reason = reason.removeprefix("Value error, ")
    if isinstance(value, BaseModel | dict):
        return f"{where}: {key + ': ' if key else ''}{reason}", "Correct the file."
    shown = "..." if loc[:1] == ("notify",) else repr(value)  # addresses of targets hold secrets
    return f"{where}: {key} = {shown}: {reason}", "Correct the value; jarside init writes a file that explains each."


def _known_keys(loc: tuple[int | str, ...]) -> list[str]:
    model: type[BaseModel] = Settings
    for part in loc:
        if isinstance(part, str):  # a number is a place in a list, whose model the list's own name has given
            model = _model_in(model.model_fields[part].annotation)
    return [field.alias or name for name, field in model.model_fields.items()]


def _model_in(annotation: Any) -> type[BaseModel]:
    """Return the section that an annotation such as `X` or `tuple[X, ...]` is about."""
    parts = (annotation, *get_args(annotation))
    return next(part for part in parts if isinstance(part, type) and issubclass(part, BaseModel))
