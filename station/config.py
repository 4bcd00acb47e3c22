"""The settings: what each key may hold, and what it is where nothing is said. `settings_file` reads them."""

from datetime import time
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, SecretStr, model_validator

from station.domain.guidance import Limits
from station.domain.needs import Beginning
from station.domain.readiness import LOG_SD, LOG_SD_BOUNDS, NEED_BOUNDS, NEED_WARM_DAYS
from station.domain.storage import KEEPING, Keeping
from station.domain.sun import Place
from station.domain.warmth import BASE_C, BASES_C
from station.domain.way import BROKER

APP = "jarside"


def _known_zone(name: str) -> str:
    if name not in available_timezones():
        raise ValueError("is not a time zone of the IANA list, such as Europe/Lisbon")
    return name


def _host_name(name: str) -> str:
    host, colon, port = name.partition(":")
    if colon and ":" not in port:
        raise ValueError(f"is a machine with a port: write host = {host!r}, and the port as port = {port or 1883}")
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
    def jar_probes(self) -> tuple[str, ...]:
        """The names of the sensors that measure a jar, not the shelf."""
        return tuple(sensor.name for sensor in self.sensors if sensor.role == "jar")

    @property
    def data_folder(self) -> Path:
        """Where `shelf.db` and `notebook.db` live."""
        return self.data or _usual_data_folder()


def _usual_data_folder() -> Path:
    import platformdirs  # here, because an installed station is told its folder and would carry 0.4 MB for nothing

    return Path(platformdirs.user_data_dir(APP, appauthor=False))
