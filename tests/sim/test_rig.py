from dataclasses import replace
from datetime import UTC, datetime

from sim.clocks import ManualClock, PacedClock
from sim.faults import SensorPlan
from sim.jar import Jar
from sim.rig import RememberingPublisher, RememberingSignal, rig_of, settings_of
from sim.scenario import load, names
from station.domain.readings import Sample
from station.ports import Message
from tests.sim.models import START, a_rig, a_scenario


def a_message(number: int) -> Message:
    return Message(number, "alerts/cold", b"{}", True, "application/json", START)


def test_a_rig_measures_its_world() -> None:
    rig = a_rig()
    rig.clock.sleep(60.0)
    climate, light = (sensor.sample() for sensor in rig.sensors)
    shelf = rig.world.at(rig.clock.elapsed_s())
    assert isinstance(climate, Sample)
    assert isinstance(light, Sample)
    assert climate.temp_c is not None
    assert light.light_lx is not None
    assert abs(climate.temp_c - shelf.temp_c) < 1.0
    assert abs(light.light_lx - shelf.light_lx) <= 0.1 * shelf.light_lx + 1.0


def test_sensors_go_on_through_a_reboot() -> None:
    rig = a_rig()
    rig.clock.sleep(3600.0)
    rig.clock.reboot(60.0)
    assert isinstance(rig.sensors[0].sample(), Sample)


def test_a_rig_runs_as_fast_as_it_goes_or_paced() -> None:
    assert type(rig_of(a_scenario()).clock) is ManualClock
    assert type(rig_of(a_scenario(), ManualClock(START), speed=10.0).clock) is PacedClock


def test_a_scenario_can_be_played_at_another_time() -> None:
    later = datetime(2027, 1, 9, 12, 0, tzinfo=UTC)
    rig = rig_of(replace(a_scenario(), start_at=later))
    assert rig.clock.now() == later
    assert rig.world.at(0.0).at == later


def test_a_publisher_remembers_and_acknowledges_once() -> None:
    publisher = RememberingPublisher()
    assert publisher.offer(a_message(1))
    assert publisher.offer(a_message(0))
    assert publisher.acknowledged() == (1,)
    assert publisher.acknowledged() == ()
    publisher.reachable = False
    assert not publisher.offer(a_message(2))
    assert [message.id for message in publisher.messages] == [1, 0]
    publisher.close()


def test_a_signal_remembers_changes_only() -> None:
    signal = RememberingSignal()
    for level in ("good", "good", "watch", "good"):
        signal.show(level)
    assert list(signal.levels) == ["good", "watch", "good"]
    signal.close()


def test_the_station_s_settings_follow_from_the_scenario() -> None:
    jar = Jar("dandelion-1", "dandelion")
    sensors = (SensorPlan("shelf", "climate"), SensorPlan("probe", "jar", jar="dandelion-1"))
    settings = settings_of(a_scenario(jars=(jar,), sensors=sensors))
    assert settings.place.zone == "Europe/Berlin"
    assert [(one.name, one.role) for one in settings.sensors] == [("shelf", "shelf"), ("probe", "jar")]


def test_every_scenario_has_settings() -> None:
    assert all(settings_of(load(name)).station == name for name in names())
