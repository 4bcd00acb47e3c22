"""A rig made of a scenario: the model world behind the same ports as the hardware."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

from sim.clocks import ManualClock, PacedClock
from sim.faults import SensorPlan
from sim.scenario import Scenario
from sim.sensors import SimSensor, sensor_of
from sim.world import World
from station.config import PlaceSettings, SensorSettings, Settings
from station.domain.way import BROKER, Way, WayState
from station.ports import Clock, Message, Rig

_REMEMBERED = 20_000
_PARTS = {"climate": "dht22", "light": "bh1750", "jar": "ds18b20"}


class RememberingPublisher:
    """A publisher that reaches nobody and remembers the latest messages; `reachable` can be turned off."""

    def __init__(self) -> None:
        self.messages: deque[Message] = deque(maxlen=_REMEMBERED)
        self.reachable = True
        self._acknowledged: list[int] = []

    def offer(self, message: Message) -> bool:
        """Take one message; False while nobody can be reached."""
        if self.reachable:
            self.messages.append(message)
            if message.id:
                self._acknowledged.append(message.id)
        return self.reachable

    def acknowledged(self) -> tuple[int, ...]:
        """Outbox numbers taken since the last call."""
        taken, self._acknowledged = tuple(self._acknowledged), []
        return taken

    def given_up(self) -> tuple[int, ...]:
        """Nothing: it takes everything."""
        return ()

    def withdraw(self, numbers: Iterable[int]) -> None:
        """Nothing waits here."""

    def ways(self) -> tuple[Way, ...]:
        """Its one way."""
        return (Way(BROKER, WayState.WORKING, "A broker of the model world."),)

    def close(self) -> None:
        """Nothing to say goodbye to."""


class RememberingSignal:
    """A lamp that remembers what it showed; repeats of the same level count once."""

    def __init__(self) -> None:
        self.levels: deque[str] = deque(maxlen=_REMEMBERED)

    def show(self, level: str) -> None:
        """Show the level."""
        if not self.levels or self.levels[-1] != level:
            self.levels.append(level)

    def close(self) -> None:
        """Dark."""


@dataclass(frozen=True, slots=True)
class SimRig(Rig):
    """A rig whose clock, sensors, publisher and signal can be looked into, and the world behind it."""

    clock: ManualClock
    sensors: tuple[SimSensor, ...]
    publisher: RememberingPublisher
    signal: RememberingSignal
    world: World


def rig_of(scenario: Scenario, base: Clock | None = None, speed: float = 1.0, fast_until_s: float = 0.0) -> SimRig:
    """Return the rig of a scenario, at its start.

    Args:
        scenario: what to play; `dataclasses.replace(scenario, start_at=...)` plays it at another time.
        base: a real clock that paces it; None runs as fast as it goes.
        speed: with a base, seconds here per second there.
        fast_until_s: with a base, the second since the start until which it runs as fast as it goes.

    Raises:
        JarsideError: the speed is not above 0.
    """
    world = World(scenario)
    clock = (
        ManualClock(scenario.start_at, scenario.clock)
        if base is None
        else PacedClock(scenario.start_at, base, speed, fast_until_s, scenario.clock)
    )
    sensors = tuple(sensor_of(plan, world, clock.elapsed_s, scenario.seed) for plan in scenario.sensors)
    return SimRig(clock, sensors, RememberingPublisher(), RememberingSignal(), world)


def settings_of(scenario: Scenario) -> Settings:
    """Return the settings that a station on this shelf would have."""
    place = scenario.place
    return Settings(
        station=scenario.name,
        place=PlaceSettings(lat_deg=place.lat_deg, lon_deg=place.lon_deg, zone=place.zone),
        limits=scenario.limits,
        sensors=tuple(_sensor_settings(plan) for plan in scenario.sensors),
    )


def _sensor_settings(plan: SensorPlan) -> SensorSettings:
    role = "jar" if plan.kind == "jar" else "shelf"
    return SensorSettings.model_validate({"name": plan.name, "part": _PARTS[plan.kind], "role": role})
