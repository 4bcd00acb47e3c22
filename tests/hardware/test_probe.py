"""The engine of the probe: verdicts and what to do."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from hardware.machine import this_machine
from hardware.probe import PartReport, Spread, Verdict, probe
from hardware.reasons import ADVICE, Reason
from sim.clocks import ManualClock
from sim.faults import FLAKY, SensorPlan
from sim.sensors import sensor_of
from station.domain.readings import Miss, Sample
from station.errors import SensorError
from tests.builders import START
from tests.sim.models import StillWorld


@dataclass
class Part:
    """A part that answers by a list, over and over."""

    answers: list[Sample | Miss]
    refusal: SensorError | None = None
    name: str = "air"
    spacing_s: float = 2.1
    clock: ManualClock = field(default_factory=lambda: ManualClock(START))
    asked_s: list[float] = field(default_factory=list)
    closed: int = 0

    def open(self) -> None:
        if self.refusal:
            raise self.refusal

    def sample(self) -> Sample | Miss:
        self.asked_s.append(self.clock.boottime_s())
        return self.answers[(len(self.asked_s) - 1) % len(self.answers)]

    def close(self) -> None:
        self.closed += 1


def an_answer(temp_c: float = 20.0, **changes: object) -> Sample:
    return Sample("air", **{"temp_c": temp_c, "rh_pct": 55.0, **changes})


def a_miss(reason: Reason = Reason.BAD_FRAME) -> Miss:
    return Miss("air", reason)


def report(answers: Iterable[Sample | Miss], kind: str = "dht22", **part: object) -> PartReport:
    one = Part(list(answers), **part)
    (found,) = probe([(kind, one)], one.clock)
    assert one.closed == 1
    return found


def test_share_spread_and_last_value():
    found = report([an_answer(20.0), an_answer(20.4), a_miss(), an_answer(20.2)])
    assert (found.asked, found.answered, found.share) == (20, 15, 0.75)
    assert found.spreads[0] == Spread("temp_c", last=20.2, middle=20.2, low=20.0, high=20.4, scatter=pytest.approx(0.4))
    assert found.reasons == (("no whole, valid frame", 5),)
    assert (found.verdict, found.advice) == (Verdict.GOOD, "")


@pytest.mark.parametrize(
    ("kind", "good", "verdict"),
    [
        ("dht22", 20, Verdict.GOOD),
        ("dht22", 14, Verdict.GOOD),  # 30 % failed reads are usual for a DHT on a Pi
        ("dht22", 6, Verdict.WEAK),
        ("dht22", 4, Verdict.BAD),
        ("dht22", 0, Verdict.ABSENT),
        ("bh1750", 19, Verdict.GOOD),
        ("bh1750", 14, Verdict.WEAK),  # where no read should fail
        ("bh1750", 4, Verdict.BAD),
        ("bh1750", 0, Verdict.ABSENT),
    ],
)
def test_the_verdict_knows_what_is_usual_for_the_part(kind: str, good: int, verdict: Verdict):
    found = report([an_answer()] * good + [a_miss()] * (20 - good), kind)
    assert found.verdict is verdict
    assert verdict.works is (verdict in (Verdict.GOOD, Verdict.WEAK))
    if verdict is not Verdict.GOOD:
        assert "pull-up" in found.advice


@pytest.mark.parametrize("reason", list(ADVICE))
def test_what_to_do_follows_from_the_most_frequent_reason(reason: Reason):
    found = report([a_miss(reason), a_miss(reason), a_miss(Reason.HUNG)])
    assert found.advice == ADVICE[reason]


def test_a_part_that_cannot_be_opened_says_why_and_does_not_stop_the_others():
    clock = ManualClock(START)
    closed = Part([], SensorError("air: no pins", "Fit some."), clock=clock)
    fine = Part([an_answer()], clock=clock)
    first, second = probe([("dht22", closed), ("dht22", fine)], clock)
    assert (first.verdict, first.reasons, first.advice) == (Verdict.CLOSED, (("air: no pins", 1),), "Fit some.")
    assert second.verdict is Verdict.GOOD


def test_every_part_is_asked_within_its_spacing():
    clock = ManualClock(START)
    quick, slow = Part([an_answer()], spacing_s=2.1, clock=clock), Part([an_answer()], spacing_s=7.0, clock=clock)
    told = []
    probe([("dht22", quick), ("ds18b20", slow)], clock, times=5, on_ask=told.append)
    for part in (quick, slow):
        gaps = [after - before for before, after in zip(part.asked_s, part.asked_s[1:], strict=False)]
        assert min(gaps) >= part.spacing_s - 1e-9
    assert told == list(range(1, 11))


def test_values_that_jump_are_weak():
    found = report([an_answer(20.0), an_answer(24.0)])
    assert found.verdict is Verdict.WEAK
    assert "jump" in found.advice


@pytest.mark.parametrize(
    ("sample", "words"),
    [
        (Sample("air", light_lx=54_612.0, saturated=True), "full scale"),
        (Sample("air", light_lx=0.0), "dark"),
    ],
)
def test_full_scale_and_darkness_are_remarked(sample: Sample, words: str):
    found = report([sample], "bh1750")
    assert found.verdict is Verdict.GOOD
    assert words in found.advice


def test_the_simulators_flaky_sensor_is_called_good():
    clock = ManualClock(START)
    plan = SensorPlan("air", "climate", faults=FLAKY)
    sensor = sensor_of(plan, StillWorld(), clock.elapsed_s, 1)
    (found,) = probe([("dht22", sensor)], clock, times=200)
    assert found.verdict is Verdict.GOOD
    assert found.share == pytest.approx(0.7, abs=0.1)


def a_root(folder: Path, *paths: str) -> Path:
    for path in paths:
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).touch()
    return folder


def test_a_machine_without_pins_is_told_from_a_pi(tmp_path: Path):
    assert not this_machine(tmp_path).can_measure
    pi = a_root(tmp_path, "dev/gpiochip0", "dev/i2c-1", "proc/device-tree/model")
    (pi / "proc/device-tree/model").write_text("Raspberry Pi Zero 2 W Rev 1.0\0")
    found = this_machine(pi)
    assert (found.model, found.pins, found.i2c, found.spi, found.one_wire) == (
        "Raspberry Pi Zero 2 W Rev 1.0",
        True,
        True,
        False,
        False,
    )


def test_every_reason_a_person_can_mend_has_its_advice():
    ours: set[Reason] = {Reason.NOT_OPEN, Reason.STARTING, Reason.RESTING, Reason.REFUSED, Reason.RUBBISH}
    assert set(ADVICE) == set(Reason) - ours
