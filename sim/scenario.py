"""A scenario: a place, a room, a shelf with sensors and jars, and the alerts that it ought to bring."""

import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Annotated, Any

from pydantic import AwareDatetime, Field, TypeAdapter, ValidationError

from sim.bounds import KEYS, Name, Positive
from sim.clocks import TRUE, ClockFaults
from sim.expected import Expected
from sim.faults import SensorPlan
from sim.household import Household
from sim.jar import Jar
from sim.room import Room
from sim.weather import Climate
from sim.window import Window
from station.config import LimitSettings, Zone
from station.domain.sun import Place
from station.errors import SettingsError


@dataclass(frozen=True, slots=True)
class Spot:
    """Where on earth the house stands: latitude and longitude in degrees, and its IANA zone."""

    __pydantic_config__ = KEYS
    lat_deg: Annotated[float, Field(strict=True, ge=-66.0, le=66.0)]
    lon_deg: Annotated[float, Field(strict=True, ge=-180.0, le=180.0)]
    zone: Zone

    @property
    def almanac(self) -> Place:
        """The same for the sun."""
        return Place(self.lat_deg, self.lon_deg)


@dataclass(frozen=True, slots=True)
class Scenario:
    """Everything that a model world needs, and what the station is expected to say about it.

    Args:
        name: the file's name without its ending.
        title, about: for people: a few words, and a sentence or two.
        seed: all chance comes from it.
        start_at: true time of second 0, aware.
        days: how long it is meant to run.
        own_dates: whether it is about a time of year, or its clock tells a date: the demo then leaves it its dates,
            for sun and weather follow them.
        place, climate, room, household, window: the surroundings.
        sensors: what the station can ask.
        clock: what is wrong with its clock.
        jars: what is packed in the course of it.
        limits: limits that differ from the guidance.
        expected: the alerts that it ought to bring; any other is a false one.
    """

    __pydantic_config__ = KEYS
    name: Name
    title: str
    about: str
    seed: int
    start_at: AwareDatetime
    days: Positive
    place: Spot
    climate: Climate
    room: Room
    window: Window
    sensors: Annotated[tuple[SensorPlan, ...], Field(min_length=1)]
    household: Household = field(default_factory=Household)
    own_dates: bool = False
    clock: ClockFaults = TRUE
    jars: tuple[Jar, ...] = ()
    limits: LimitSettings = field(default_factory=LimitSettings)
    expected: tuple[Expected, ...] = ()


_SCENARIO = TypeAdapter(Scenario)


def names() -> tuple[str, ...]:
    """Return the names of the scenarios that come with Jarside, in order."""
    return tuple(sorted(file.name.removesuffix(".toml") for file in _folder().iterdir() if file.name.endswith(".toml")))


def load(name: str) -> Scenario:
    """Return a scenario that comes with Jarside.

    Raises:
        SettingsError: there is none of this name, or its file is wrong.
    """
    if name not in names():
        raise SettingsError(f"there is no scenario {name!r}", f"Choose one of: {', '.join(names())}.")
    return parsed(_folder().joinpath(f"{name}.toml").read_text(encoding="utf-8"), name)


def parsed(text: str, name: str) -> Scenario:
    """Return the scenario that a TOML text describes.

    Raises:
        SettingsError: a key is unknown or missing, a value is not allowed, or two parts do not fit together.
    """
    where = f"scenario {name}"
    try:
        scenario = _SCENARIO.validate_python({"name": name, **tomllib.loads(text)})
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{where}: not valid TOML ({error})", "Correct that line.") from None
    except ValidationError as error:
        raise SettingsError(*_explained(where, error.errors()[0])) from None
    misfit = _misfit(scenario)
    if misfit:
        raise SettingsError(f"{where}: {misfit}", "Correct the name.")
    return scenario


def _folder() -> Traversable:
    return resources.files("sim").joinpath("scenarios")


def _explained(where: str, complaint: Any) -> tuple[str, str]:
    key = ".".join(str(part) for part in complaint["loc"])
    reason = complaint["msg"].removeprefix("Value error, ")
    match complaint["type"]:
        case "unexpected_keyword_argument" | "extra_forbidden":
            return f"{where}: {key} is not known here", "Correct the key or leave it out."
        case "missing":
            return f"{where}: {key} is missing", "Add it."
        case _:
            return f"{where}: {key} = {complaint['input']!r}: {reason}", "Correct the value."


def _misfit(scenario: Scenario) -> str:
    """Return what does not fit together, or nothing."""
    jars = {jar.name for jar in scenario.jars}
    for what, used in (("sensors", [s.name for s in scenario.sensors]), ("jars", [j.name for j in scenario.jars])):
        double = _first_double(used)
        if double:
            return f"two {what} are called {double!r}"
    for sensor in scenario.sensors:
        if (sensor.kind == "jar") != (sensor.jar in jars):
            return f"sensor {sensor.name!r} of kind {sensor.kind!r} names the jar {sensor.jar!r}"
    strange = next((one.jar for one in scenario.expected if one.jar and one.jar not in jars), "")
    return f"an alert is expected of the jar {strange!r}, which there is not" if strange else ""


def _first_double(used: Iterable[str]) -> str:
    return next((name for name, count in Counter(used).items() if count > 1), "")
