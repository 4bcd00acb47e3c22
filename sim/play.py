"""A scenario played through the station's own code, as fast as it goes, with nobody at home."""

from datetime import timedelta

from sim.expected import Raised
from sim.replay import FixedNotebook, MemoryLog, NoSignal
from sim.rig import SimRig, rig_of, settings_of
from sim.scenario import Scenario
from station.alerts import Change, Happening
from station.daemon import JudgedMinute, Station
from station.domain.jars import Jar
from station.ports import Rig


def jars_of(scenario: Scenario) -> tuple[Jar, ...]:
    """Return the scenario's jars as the notebook would tell them, a probe on each that has one."""
    probes = {plan.jar: plan.name for plan in scenario.sensors if plan.kind == "jar"}
    return tuple(
        Jar(
            jar.name,
            jar.plant,
            scenario.start_at + timedelta(hours=jar.packed_after_h),
            jar.jar_ml,
            jar.plant_g,
            jar.sugar_g,
            probes.get(jar.name, ""),
        )
        for jar in scenario.jars
    )


class Diary:
    """What a station said in the course of a scenario, in the world's own time."""

    def __init__(self, rig: SimRig) -> None:
        self._rig = rig
        self.raised: list[Raised] = []
        self.notified: list[Change] = []

    def write(self, judged: JudgedMinute) -> None:
        """Take in one kept minute."""
        for change in judged.changes:
            if change.happening is Happening.RAISED:
                alert = change.alert
                self.raised.append(Raised(str(alert.kind), alert.jar_id, self._rig.clock.elapsed_s()))
            if change.notify:
                self.notified.append(change)


def played(scenario: Scenario, days: float | None = None) -> Diary:
    """Play a scenario and return what the station said; the jars are left standing.

    Args:
        scenario: the scenario.
        days: how long; None for as long as it is meant to run.
    """
    rig = rig_of(scenario)
    diary = Diary(rig)
    quiet = Rig(rig.clock, rig.sensors, None, NoSignal())
    notebook = FixedNotebook(jars_of(scenario))
    station = Station(settings_of(scenario), quiet, MemoryLog(), notebook, diary.write, looked_at=False)
    station.start()
    for _ in range(round((scenario.days if days is None else days) * 1440)):
        station.tick()
    return diary
