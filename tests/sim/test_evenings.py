"""The strain evening on the ordinary kitchen: stable, and never one that has gone by."""

from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date, datetime, tzinfo

import pytest

from sim.jar import Jar as ModelJar
from sim.play import jars_of
from sim.replay import FixedNotebook, MemoryLog, NoSignal
from sim.rig import rig_of, settings_of
from sim.scenario import Scenario, load
from station.daemon import JudgedMinute, Station
from station.ports import Rig

PACKED_EVERY_H = 62.0
PLANTS = ("comfrey", "dandelion", "yarrow", "borage")
JARS_ML = (1000.0, 1500.0, 2000.0)


@dataclass
class Watcher:
    """Writes down each change of a jar's strain evening, and each minute in which one was shown that is over."""

    zone: tzinfo
    changes: list[tuple[str, datetime, datetime | None]] = field(default_factory=list)
    gone_by: int = 0
    proposed: dict[str, datetime] = field(default_factory=dict)

    def sees(self, judged: JudgedMinute) -> None:
        reading = judged.minute.reading
        assert reading is not None
        for outlook in judged.memory.outlooks:
            before, now = self.proposed.get(outlook.jar_id), outlook.evening_at
            if before is not None and now != before:
                self.changes.append((outlook.jar_id, reading.measured_at, now))
            if now is not None:
                self.proposed[outlook.jar_id] = now
                self.gone_by += self.day(now) < self.day(reading.measured_at)

    def day(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()


def kitchen(days: float) -> Scenario:
    """The ordinary kitchen with a jar packed every two and a half days; nobody strains any."""
    scenario = load("ordinary-kitchen")
    on_shelf = tuple(plan for plan in scenario.sensors if plan.kind != "jar")
    jars = tuple(
        ModelJar(f"jar-{number}", PLANTS[number % 4], 1.0 + PACKED_EVERY_H * number, JARS_ML[number % 3])
        for number in range(round((days - 1.0) * 24.0 / PACKED_EVERY_H))
    )
    return replace(scenario, days=days, jars=jars, sensors=on_shelf)


@pytest.mark.parametrize("days", [10.0, pytest.param(60.0, marks=pytest.mark.long)])
def test_the_strain_evening_changes_at_most_once_a_day_and_never_to_one_gone_by(days: float) -> None:
    scenario = kitchen(days)
    settings, rig = settings_of(scenario), rig_of(scenario)
    watcher = Watcher(settings.zone)
    quiet = Rig(rig.clock, rig.sensors, None, NoSignal())
    station = Station(settings, quiet, MemoryLog(), FixedNotebook(jars_of(scenario)), watcher.sees)
    station.start()
    for _ in range(round(days * 1440)):
        station.tick()
    assert len(watcher.proposed) == len(scenario.jars)
    assert watcher.changes
    assert max(Counter((jar, watcher.day(at)) for jar, at, _ in watcher.changes).values()) == 1
    assert [change for change in watcher.changes if change[2] is None or change[2] <= change[1]] == []
    assert watcher.gone_by == 0
