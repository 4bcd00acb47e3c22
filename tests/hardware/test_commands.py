"""`jarside probe` and `jarside calibrate` from the outside."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import station.cli as cli_module
import station.clock
from hardware import machine
from hardware.machine import Machine
from sim.clocks import ManualClock
from sim.faults import Faults, SensorPlan
from sim.sensors import sensor_of
from station.cli import calibrate_commands, cli, hardware_commands
from station.cli.calibrate_text import known_lx
from station.domain.readings import Miss, Sample
from station.domain.salts import Salt
from station.errors import JarsideError, SensorError
from tests.builders import START
from tests.hardware.test_calibrate import BagWorld
from tests.hardware.test_probe import Part

SETTINGS = """
[[sensors]]
name = "air"
part = "dht22"

[[sensors]]
name = "lux"
part = "bh1750"
"""


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> ManualClock:
    """The commands' clock, turned by hand, on a machine with pins."""
    the_clock = ManualClock(START)
    monkeypatch.setattr(station.clock, "SystemClock", lambda: the_clock)
    monkeypatch.setattr(machine, "this_machine", lambda: Machine("a Pi", True, True, True, True))
    return the_clock


def fit(monkeypatch: pytest.MonkeyPatch, **parts: object) -> None:
    """Wire parts to the names of the settings."""
    for module in (hardware_commands, calibrate_commands):
        monkeypatch.setattr(module, "raw_sensor", lambda one: parts[one.name])


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Run a command with the settings above and a data folder of its own."""
    (tmp_path / "jarside.toml").write_text(SETTINGS)
    monkeypatch.setitem(cli_module._COMMANDS, "probe", "station.cli.hardware_commands:probe")
    monkeypatch.setitem(cli_module._COMMANDS, "calibrate", "station.cli.calibrate_commands:calibrate")

    def now(*words: str) -> Result:
        frame = ("--config", str(tmp_path / "jarside.toml"), "--data", str(tmp_path / "data"))
        return CliRunner().invoke(cli, [*frame, *words], catch_exceptions=False)

    return now


def test_a_machine_without_pins_says_so_in_one_line(run, monkeypatch):
    monkeypatch.setattr(machine, "this_machine", lambda: Machine("", False, False, False, False))
    result = run("probe")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1
    assert result.stderr.startswith("jarside: this machine has no pins to probe. ")


def test_the_probe_shows_every_part_and_what_to_do(run, clock: ManualClock, monkeypatch):
    answers = [Sample("air", 20.1, 55.0), Miss("air", "no whole, valid frame"), Sample("air", 20.3, 55.4)]
    fit(monkeypatch, air=Part(answers, clock=clock), lux=Part([Miss("lux", "no answer")], name="lux", clock=clock))
    result = run("probe")
    assert result.exit_code == 1
    assert "air (dht22): good, 13 of 20 reads good" in result.stdout
    assert "now 20.1 °C, from 20.1 °C to 20.3 °C" in result.stdout
    assert "lux (bh1750): no answer, 0 of 20 reads good" in result.stdout
    assert "Check supply" in result.stdout
    assert result.stderr == "jarside: not working: lux. Do what is written beside each, then probe again.\n"


def test_the_probe_for_programs(run, clock: ManualClock, monkeypatch):
    refusal = SensorError("lux: I²C cannot be found on this machine", "Switch I²C on.")
    fit(
        monkeypatch,
        air=Part([Sample("air", 20.1, 55.0)], clock=clock),
        lux=Part([], refusal, name="lux", clock=clock),
    )
    result = run("probe", "--json", "--times", "5")
    found = json.loads(result.stdout)
    assert found["machine"] == "a Pi"
    air, lux = found["parts"]
    assert (air["share"], air["verdict"], air["values"]["temp_c"]["median"]) == (1.0, "good", 20.1)
    assert (lux["verdict"], lux["advice"]) == ("closed", "Switch I²C on.")
    assert result.exit_code == 1


def test_a_good_probe_ends_with_0(run, clock: ManualClock, monkeypatch):
    fit(monkeypatch, air=Part([Sample("air", 20.1, 55.0)], clock=clock))
    assert run("probe", "--sensor", "air").exit_code == 0


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (("probe", "--sensor", "attic"), 1, "no sensor 'attic'; they name air (dht22), lux (bh1750)"),
        (("probe", "--times", "0"), 2, "--times"),
        (("calibrate", "humidity"), 2, "--salt"),
        (("calibrate", "humidity", "--salt", "table"), 2, "sodium-chloride"),
        (
            ("calibrate", "humidity", "--salt", "sodium-chloride", "--sensor", "lux"),
            1,
            "no sensor 'lux' that is a dht22",
        ),
        (("calibrate", "light", "--is", "850"), 1, "'850' is no light. Write it as 850lx"),
        (("calibrate", "light", "--is", "850klx"), 1, "'850klx' is brighter than the sun. Give at most 200,000 lx"),
        (("calibrate", "remove", "attic"), 1, "there is no correction attic"),
    ],
)
def test_wrong_use_and_wrong_names(run, clock: ManualClock, words, code: int, message: str):
    result = run(*words)
    assert result.exit_code == code
    assert message in result.stderr


def a_bag(salt: Salt, clock: ManualClock):
    """A simulated sensor, 6 %RH high and 8 % steep, that starts in a bag with a salt now."""
    begun_s = clock.elapsed_s()
    plan = SensorPlan("air", "climate", faults=Faults(missed=0.3, offset_pct=6.0, gain=1.08))
    return sensor_of(plan, BagWorld(salt), lambda: clock.elapsed_s() - begun_s, 1)


def test_two_bags_one_after_the_other(run, clock: ManualClock, monkeypatch):
    fit(monkeypatch, air=a_bag(Salt.SODIUM_CHLORIDE, clock))
    first = run("calibrate", "humidity", "--salt", "sodium-chloride")
    assert first.exit_code == 0
    assert "Close" in first.stdout or "close" in first.stdout
    assert "%RH an hour" in first.stderr
    assert "Kept air-humidity: air humidity: 1.000 × reading" in first.stdout
    fit(monkeypatch, air=a_bag(Salt.MAGNESIUM_CHLORIDE, clock))
    second = json.loads(run("calibrate", "humidity", "--salt", "magnesium-chloride", "--json").stdout)
    assert second["gain"] == pytest.approx(1 / 1.08, abs=0.01)
    assert len(second["points"]) == 2
    listed = json.loads(run("calibrate", "list", "--json").stdout)
    assert [one["until_at"] is None for one in listed] == [False, True]
    assert [one["due_again"] for one in listed] == [False, False]


def test_moments_of_light_then_removed(run, clock: ManualClock, monkeypatch):
    assert run("calibrate", "list").stdout.startswith("No corrections yet.")
    for true, raw_lx in (("300lx", 150.0), ("8klx", 4500.0)):
        fit(monkeypatch, lux=Part([Sample("lux", light_lx=raw_lx)], name="lux", clock=clock))
        assert run("calibrate", "light", "--is", true).exit_code == 0
    assert "lux-light, since 2026-05-04" in run("calibrate", "list").stdout.splitlines()[-1]
    removed = run("calibrate", "remove", "lux")
    assert removed.stdout.startswith("No longer: lux light: lx = ")
    assert run("calibrate", "remove", "lux").exit_code == 1


def test_a_correction_of_last_year_reminds(run, clock: ManualClock, monkeypatch):
    fit(monkeypatch, air=a_bag(Salt.SODIUM_CHLORIDE, clock))
    run("calibrate", "humidity", "--salt", "sodium-chloride")
    assert "do it again" not in run("calibrate", "list").stdout
    clock.advance(366 * 86_400)
    assert "Older than a year: do it again." in run("calibrate", "list").stdout


def test_a_dead_sensor_is_found_before_hours_are_spent(run, clock: ManualClock, monkeypatch):
    fit(monkeypatch, air=Part([Miss("air", "another program holds its pin")], clock=clock))
    result = run("calibrate", "humidity", "--salt", "sodium-chloride")
    assert result.exit_code == 1
    assert "sudo systemctl stop jarside-watch" in result.stderr
    assert clock.elapsed_s() < 60


def test_ways_to_name_a_light():
    assert known_lx("850lx") == (850.0, "lux meter, 850 lx")
    assert known_lx("1.2 klx")[0] == 1200.0
    assert known_lx("shade") == (2000.0, "shade, about 2,000 lx")
    with pytest.raises(JarsideError):
        known_lx("-3lx")


@pytest.mark.parametrize("words", [("probe",), ("calibrate",), ("calibrate", "humidity"), ("calibrate", "light")])
def test_help_has_an_example(run, words):
    result = run(*words, "--help")
    assert result.exit_code == 0
    assert "Example: " in result.stdout or words == ("calibrate",)


def test_the_probe_tries_lamp_and_button_too_and_skips_the_buzzer_by_name(
    run, clock: ManualClock, monkeypatch, tmp_path: Path, mock_pins
):
    (tmp_path / "jarside.toml").write_text(
        SETTINGS + "\n[signal]\nred_pin = 22\ngreen_pin = 23\nblue_pin = 24\nbutton_pin = 5\n"
    )
    fit(monkeypatch, air=Part([Sample("air", 20.1, 55.0)], clock=clock), lux=Part([Sample("lux", light_lx=9.0)]))
    result = run("probe", "--times", "3")
    assert result.exit_code == 0, result.output
    assert "lamp: shown\n  If a colour was missing" in result.stdout
    assert "buzzer: skipped: not in the settings\n" in result.stdout
    assert "button: not pressed\n  Press it" in result.stdout
    assert "The lamp shows green without a dip.\n" in result.stderr
    signals = json.loads(run("probe", "--times", "3", "--json").stdout)["signals"]
    assert [one["verdict"] for one in signals] == ["shown", "skipped: not in the settings", "not pressed"]


def test_a_station_with_only_a_lamp_can_be_probed(run, clock: ManualClock, tmp_path: Path, mock_pins):
    (tmp_path / "jarside.toml").write_text("[signal]\nred_pin = 22\ngreen_pin = 23\nblue_pin = 24\n")
    result = run("probe")
    assert result.exit_code == 0
    assert result.stdout.startswith("lamp: shown\n")


def test_the_probe_reminds_of_a_correction_of_last_year(run, clock: ManualClock, monkeypatch):
    fit(monkeypatch, air=a_bag(Salt.SODIUM_CHLORIDE, clock))
    run("calibrate", "humidity", "--salt", "sodium-chloride")
    fit(monkeypatch, air=Part([Sample("air", 20.1, 55.0)], clock=clock))
    assert "older than a year" not in run("probe", "--sensor", "air").stdout
    clock.advance(366 * 86_400)
    assert "air: its humidity correction is older than a year; do it again:" in run("probe", "--sensor", "air").stdout
    assert json.loads(run("probe", "--sensor", "air", "--json").stdout)["correct_again"] == ["air"]
