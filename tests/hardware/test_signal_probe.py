"""Lamp, buzzer and button in the probe, over gpiozero's mock pins and a clock turned by hand."""

from collections.abc import Callable
from pathlib import Path

import gpiozero
import pytest
from gpiozero.pins.mock import MockFactory

from hardware import buzzer as buzzer_module
from hardware import pins
from hardware.lamp import LOOKS
from hardware.signal_probe import SHOWN_S, WAIT_S, Sign, SignalReport, probe_signals
from sim.clocks import ManualClock
from station.config import Settings, SignalSettings
from station.errors import SettingsError
from tests.builders import START

ALL = SignalSettings(red_pin=22, green_pin=23, blue_pin=24, buzzer_pin=25, button_pin=5)


class Watching(ManualClock):
    """A clock turned by hand that lets something happen whenever somebody waits."""

    def __init__(self, happens: Callable[[float], None]) -> None:
        super().__init__(START)
        self._happens = happens

    def sleep(self, seconds: float) -> None:
        self._happens(self.elapsed_s())
        super().sleep(seconds)


def probed(
    wired: SignalSettings, happens: Callable[[float], None] = lambda _: None, *, quiet: bool = False
) -> tuple[dict[str, SignalReport], list[str], Watching]:
    """Probe, and return what came of each, what was said, and the clock."""
    clock, said = Watching(happens), []
    reports = probe_signals(Settings(signal=wired), clock, quiet=quiet, say=said.append)
    return {report.name: report for report in reports}, said, clock


def test_the_lamp_shows_each_colour_and_is_dark_afterwards(mock_pins: MockFactory) -> None:
    seen = []
    wired = SignalSettings(red_pin=22, green_pin=23, blue_pin=24)
    found, said, _ = probed(wired, lambda _: seen.append(lit(mock_pins)))

    assert found["lamp"].sign is Sign.SHOWN
    assert "resistor" in found["lamp"].advice
    assert said == [
        "The lamp shows green without a dip.",
        "The lamp shows yellow with slow dips.",
        "The lamp shows red with quick dips.",
    ]
    assert seen[0] == (False, True, False)
    assert len(seen) == 3
    assert lit(mock_pins) == (False, False, False)


def test_each_level_is_shown_long_enough_for_its_dip() -> None:
    assert all(look.on_s + look.off_s < SHOWN_S for look in LOOKS.values())


def lit(factory: MockFactory) -> tuple[bool, ...]:
    return tuple(bool(factory.pin(number).state) for number in (22, 23, 24))


@pytest.mark.parametrize(("quiet", "sign", "sounds"), [(False, Sign.SOUNDED, 1), (True, Sign.QUIET, 0)])
def test_the_buzzer_sounds_once_but_not_in_quiet_hours(
    mock_pins: MockFactory, monkeypatch: pytest.MonkeyPatch, quiet: bool, sign: Sign, sounds: int
) -> None:
    monkeypatch.setattr(buzzer_module, "BEEP_S", 0.001)
    heard = []

    def listen(_: float) -> None:
        pin = mock_pins.pin(25)
        while pin.states[-1].state or len(pin.states) < 3:
            pass  # gpiozero beeps in a thread of its own
        heard.append(sum(bool(state.state) for state in pin.states))

    found, _, _ = probed(SignalSettings(buzzer_pin=25), listen, quiet=quiet)

    assert found["buzzer"].sign is sign
    assert sum(heard) == sounds


def test_a_press_is_seen_at_once(mock_pins: MockFactory) -> None:
    def press(elapsed_s: float) -> None:
        if elapsed_s > 1.0:
            mock_pins.pin(5).drive_low()
            mock_pins.pin(5).drive_high()

    found, said, clock = probed(SignalSettings(button_pin=5), press)

    assert found["button"] == SignalReport("button", Sign.PRESSED)
    assert "Press the button now" in said[0]
    assert clock.elapsed_s() < 2.0


def test_without_a_press_the_probe_goes_on_and_says_what_to_look_at(mock_pins: MockFactory) -> None:
    found, _, clock = probed(SignalSettings(button_pin=5))

    assert found["button"].sign is Sign.UNPRESSED
    assert found["button"].sign.works, "perhaps nobody stood there"
    assert "wires" in found["button"].advice
    assert WAIT_S <= clock.elapsed_s() < WAIT_S + 1.0


def test_a_button_that_is_down_all_the_time_is_shorted(mock_pins: MockFactory) -> None:
    mock_pins.pin(5, pin_class=Shorted)
    found, _, _ = probed(SignalSettings(button_pin=5))

    assert found["button"].sign is Sign.STUCK
    assert not found["button"].sign.works
    assert "short" in found["button"].advice


class Shorted(gpiozero.pins.mock.MockPin):
    """A pin that is at ground whatever pulls it up."""

    def _set_pull(self, value: str) -> None:
        super()._set_pull(value)
        self._state = False


def test_what_the_settings_do_not_name_is_skipped_by_name(mock_pins: MockFactory) -> None:
    found, said, clock = probed(SignalSettings())

    assert {name: report.sign for name, report in found.items()} == dict.fromkeys(found, Sign.SKIPPED)
    assert list(found) == ["lamp", "buzzer", "button"]
    assert (said, clock.elapsed_s()) == ([], 0.0)


def test_a_part_that_cannot_be_opened_says_why_and_does_not_stop_the_others(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Here gpiozero is real, and this machine has no pins."""
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setattr(pins, "CHIPS", tmp_path)
    found, _, _ = probed(ALL)

    assert {report.sign for report in found.values()} == {Sign.CLOSED}
    assert all(report.reason.startswith(name) and report.advice for name, report in found.items())


def test_half_a_lamp_is_a_mistake_in_the_settings(mock_pins: MockFactory) -> None:
    with pytest.raises(SettingsError, match="red_pin"):
        probed(SignalSettings(red_pin=22))
