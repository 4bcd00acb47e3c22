"""Small builders of model worlds and their parts."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from sim.clocks import ManualClock
from sim.faults import Faults, SensorPlan
from sim.rig import SimRig, rig_of
from sim.room import Room
from sim.scenario import Scenario, Spot
from sim.sensors import SimSensor, sensor_of
from sim.weather import Climate, Outside
from sim.window import Window
from sim.world import Shelf
from station.domain.readings import Sample

START = datetime(2026, 5, 4, 4, 0, tzinfo=UTC)
DAY_S = 86400.0
MILD = Outside(temp_c=12.0, moisture_gm3=7.0, cover=0.5, sun_covered=False, ground_c=9.0)


def a_scenario(**changes: Any) -> Scenario:
    """A plain room with a climate and a light sensor."""
    plain = Scenario(
        name="plain",
        title="A plain room",
        about="",
        seed=1,
        start_at=START,
        days=2.0,
        place=Spot(50.0, 8.0, "Europe/Berlin"),
        climate=Climate(),
        room=Room(house_wk=30.0),
        window=Window(),
        sensors=(SensorPlan("shelf", "climate"), SensorPlan("light", "light")),
    )
    return replace(plain, **changes)


def a_rig(**changes: Any) -> SimRig:
    """The rig of a plain room, its sensors open."""
    rig = rig_of(a_scenario(**changes))
    for sensor in rig.sensors:
        sensor.open()
    return rig


class StillWorld:
    """A world in which nothing changes, but what a test changes."""

    def __init__(self, **values: Any) -> None:
        plain = Shelf(START, 20.0, 50.0, 8.6, 300.0, False, 0.0, 20.0, 50.0, MILD, ())
        self.shelf = replace(plain, **values)

    def at(self, elapsed_s: float) -> Shelf:
        """The same shelf at any time."""
        return self.shelf


class Bench:
    """One sensor in a still world, with a clock to turn."""

    def __init__(self, kind: str = "climate", faults: Faults = Faults(), seed: int = 1, **values: Any) -> None:  # noqa: B008
        self.world = StillWorld(**values)
        self.clock = ManualClock(START)
        plan = SensorPlan("part", kind, jar="jar" if kind == "jar" else "", faults=faults)  # type: ignore[arg-type]
        self.sensor: SimSensor = sensor_of(plan, self.world, self.clock.elapsed_s, seed)  # type: ignore[arg-type]
        self.sensor.open()

    def ask(self, times: int = 1, every_s: float = 10.0) -> list[Any]:
        """Ask `times` times, `every_s` seconds apart; answers in order."""
        answers = []
        for _ in range(times):
            self.clock.advance(every_s)
            answers.append(self.sensor.sample())
        return answers

    def good(self, times: int, every_s: float = 10.0) -> list[Sample]:
        """The samples among the answers."""
        return [answer for answer in self.ask(times, every_s) if isinstance(answer, Sample)]
