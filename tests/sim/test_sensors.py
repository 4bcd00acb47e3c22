from dataclasses import replace
from statistics import fmean

import pytest

from sim.faults import FLAKY, Faults
from sim.jar import JarState
from station.domain.readings import Miss, Sample
from tests.sim.models import Bench, a_rig

JARS = (JarState("jar", True, 23.4, 0.5, 1.0, 0.5),)


def test_a_climate_sensor_reads_the_shelf_in_tenths() -> None:
    samples = Bench(sensor_c=21.234, sensor_rh_pct=56.78).good(300)
    assert fmean(s.temp_c for s in samples) == pytest.approx(21.234, abs=0.03)
    assert fmean(s.rh_pct for s in samples) == pytest.approx(56.78, abs=0.1)
    assert all(round(s.temp_c, 1) == s.temp_c and round(s.rh_pct, 1) == s.rh_pct for s in samples)


def test_a_climate_sensor_gives_the_conversion_before() -> None:
    bench = Bench(sensor_c=20.0)
    bench.ask()
    bench.world.shelf = replace(bench.world.shelf, sensor_c=30.0)
    late, now = bench.good(2)
    assert late.temp_c == pytest.approx(20.0, abs=0.5)
    assert now.temp_c == pytest.approx(30.0, abs=0.5)


def test_a_sensor_asked_too_soon_or_not_open_gives_nothing() -> None:
    bench = Bench()
    first, second = bench.ask(2, every_s=1.0)
    assert isinstance(first, Sample)
    assert isinstance(second, Miss)
    bench.sensor.close()
    bench.sensor.close()
    assert isinstance(bench.ask()[0], Miss)


def test_three_reads_in_ten_fail() -> None:
    answers = Bench(faults=FLAKY).ask(20_000)
    assert sum(isinstance(answer, Miss) for answer in answers) / 20_000 == pytest.approx(0.3, abs=0.01)


def test_one_good_read_in_750_is_doubled_or_halved() -> None:
    samples = Bench(faults=FLAKY).good(100_000)
    far = [s for s in samples if abs(s.temp_c - 20.0) > 5.0 or abs(s.rh_pct - 50.0) > 10.0]
    assert len(far) / len(samples) == pytest.approx(1 / 750, rel=0.25)
    for sample in far:
        one = round(sample.temp_c / 20.0, 1), round(sample.rh_pct / 50.0, 1)
        assert sorted(one)[0] in (0.5, 1.0)
        assert one.count(1.0) == 1


def test_a_sensor_without_faults_never_fails() -> None:
    assert len(Bench().good(2000)) == 2000


def test_a_stuck_sensor_repeats_itself_and_then_goes_on() -> None:
    bench = Bench(faults=Faults(stuck_h=((1.0, 2.0),)))
    samples = bench.good(1200)
    during = {(s.temp_c, s.rh_pct) for s in samples[362:718]}
    assert len(during) == 1
    assert len({(s.temp_c, s.rh_pct) for s in samples[722:1000]}) > 10


@pytest.mark.parametrize("kind", ["light", "jar"])
def test_a_stuck_light_sensor_or_probe_repeats_itself_too(kind: str) -> None:
    samples = Bench(kind, Faults(stuck_h=((1.0, 2.0),)), jars=JARS).good(1200)
    assert len({(s.temp_c, s.light_lx) for s in samples[360:718]}) == 1
    assert len({(s.temp_c, s.light_lx) for s in samples[720:]}) > 1


def test_an_unplugged_sensor_is_silent_between_its_hours() -> None:
    answers = Bench(faults=Faults(unplugged_h=((1.0, 2.0),))).ask(1080)
    silent = [number for number, answer in enumerate(answers) if isinstance(answer, Miss)]
    assert silent == list(range(359, 719))


def test_offset_gain_and_drift_bend_the_humidity() -> None:
    bent = Bench(faults=Faults(offset_c=1.0, offset_pct=6.0, gain=1.08, drift_pct_per_day=2.0), sensor_rh_pct=50.0)
    early = bent.good(300)
    assert fmean(s.rh_pct for s in early) == pytest.approx(50.0 * 1.08 + 6.0, abs=0.2)
    assert fmean(s.temp_c for s in early) == pytest.approx(21.0, abs=0.05)
    bent.clock.advance(5 * 86400.0)
    bent.ask()
    assert fmean(s.rh_pct for s in bent.good(300)) == pytest.approx(50.0 * 1.08 + 16.0, abs=0.3)


def test_humidity_stays_within_what_the_part_can_say() -> None:
    wet, dry = Bench(sensor_rh_pct=100.0).good(300), Bench(sensor_rh_pct=0.0).good(300)
    assert max(s.rh_pct for s in wet) == 99.9
    assert min(s.rh_pct for s in dry) == 0.0


def test_a_light_sensor_counts_in_steps_of_five_sixths_lux() -> None:
    # BH1750 data sheet: lux = count / 1.2.
    samples = Bench("light", light_lx=300.0).good(300)
    assert fmean(s.light_lx for s in samples) == pytest.approx(300.0, rel=0.01)
    assert all(round(s.light_lx * 1.2, 1) == pytest.approx(round(s.light_lx * 1.2), abs=0.1) for s in samples)
    assert not any(s.saturated for s in samples)


def test_full_scale_is_said_to_be_saturation() -> None:
    bright, broken = Bench("light", light_lx=90_000.0), Bench("light", Faults(saturated_h=((0.0, 1.0),)))
    for bench in (bright, broken):
        sample = bench.good(1)[0]
        assert sample.saturated
        assert sample.light_lx == pytest.approx(54_612, abs=1)


def test_a_jar_probe_reads_the_jar_in_sixteenths() -> None:
    samples = Bench("jar", jars=JARS).good(300)
    assert fmean(s.temp_c for s in samples) == pytest.approx(23.4, abs=0.02)
    assert all((s.temp_c * 16.0).is_integer() for s in samples)
    assert samples[0].rh_pct is None


@pytest.mark.parametrize("kind", ["climate", "light", "jar"])
def test_a_sensor_repeats_with_its_seed_and_differs_with_another(kind: str) -> None:
    one, again, other = (Bench(kind, FLAKY, seed, jars=JARS).ask(300) for seed in (1, 1, 2))
    assert one == again
    assert one != other


def test_one_sensor_does_not_depend_on_how_often_another_is_asked() -> None:
    def temperatures(*, ask_light: bool) -> list[object]:
        rig = a_rig()
        climate, light = rig.sensors
        answers = []
        for _ in range(200):
            rig.clock.sleep(10.0)
            answers.append(climate.sample())
            if ask_light:
                light.sample()
        return answers

    assert temperatures(ask_light=True) == temperatures(ask_light=False)
