"""Lamp, buzzer and button over gpiozero's mock pins."""

from collections.abc import Callable

import pytest
from gpiozero.pins.mock import MockFactory

from hardware import buzzer as buzzer_module
from hardware import lamp as lamp_module
from hardware.button import Button, Press
from hardware.buzzer import Buzzer
from hardware.lamp import DARK, LOOKS, Lamp, Look
from hardware.signals import Signals
from station.errors import SensorError
from tests.daemon.broker import until


def colour(pins: MockFactory) -> tuple[bool, ...]:
    return tuple(bool(pins.pin(number).state) for number in (22, 23, 24))


def test_good_is_steady_green(mock_pins: MockFactory):
    lamp = Lamp(22, 23, 24)
    lamp.show("good")
    assert colour(mock_pins) == (False, True, False)
    lamp.close()


def test_every_level_can_be_told_by_its_dips_alone():
    dips_a_minute = {level: 60.0 / (look.on_s + look.off_s) if look.off_s else 0.0 for level, look in LOOKS.items()}
    assert dips_a_minute["good"] == 0.0
    assert dips_a_minute["watch"] >= 15.0, "seen within a glance of four seconds"
    assert dips_a_minute["act"] >= 3.0 * dips_a_minute["watch"]
    assert dips_a_minute["act"] < 180.0  # WCAG 2.2, 2.3.1: no more than three flashes a second


def test_the_colour_of_every_level_is_there_nearly_all_the_time():
    for look in LOOKS.values():
        assert look.on_s >= 3.0 * look.off_s
        assert look.off_s < 0.5
    assert len({look.colour for look in LOOKS.values()}) == len(LOOKS)


@pytest.mark.parametrize(("level", "lit"), [("watch", (1, 1, 0)), ("act", (1, 0, 0))])
def test_watch_and_act_dip_and_come_back_in_their_colour(mock_pins: MockFactory, monkeypatch, level: str, lit):
    monkeypatch.setitem(lamp_module.LOOKS, level, Look(LOOKS[level].colour, on_s=0.001, off_s=0.001))
    lamp = Lamp(22, 23, 24)
    lamp.show(level)
    for _ in range(2):
        assert until(lambda: colour(mock_pins) == lit)
        assert until(lambda: colour(mock_pins) == DARK)
    lamp.close()


def test_the_same_level_again_does_not_begin_the_rhythm_anew(mock_pins: MockFactory):
    lamp = Lamp(22, 23, 24)
    lamp.show("act")
    blinking = lamp._led._blink_thread
    lamp.show("act")
    assert lamp._led._blink_thread is blinking
    lamp.close()


def test_a_common_anode_lamp_is_lit_by_low_pins(mock_pins: MockFactory):
    lamp = Lamp(22, 23, 24, common_anode=True)
    lamp.show("good")
    assert colour(mock_pins) == (True, False, True)
    lamp.close()


def a_buzzer(pins: MockFactory, monkeypatch) -> tuple[Buzzer, Callable[[], int]]:
    """A buzzer, and a count of how often it has sounded once it is silent again."""
    monkeypatch.setattr(buzzer_module, "BEEP_S", 0.0001)
    buzzer = Buzzer(25)
    pin = pins.pin(25)

    def beeps() -> int:
        thread = buzzer._sounder._blink_thread
        if thread is not None:
            thread.join()
        return sum(state.state for state in pin.states)

    return buzzer, beeps


def test_the_buzzer_sounds_once_for_one_act(mock_pins: MockFactory, monkeypatch):
    buzzer, beeps = a_buzzer(mock_pins, monkeypatch)
    for level in ("good", "watch", "act", "act", "act"):
        buzzer.show(level)
    assert beeps() == 3
    buzzer.show("good")
    buzzer.show("act")
    assert beeps() == 6
    buzzer.close()


def test_the_buzzer_is_silent_in_quiet_hours_and_speaks_after_them_if_it_still_holds(
    mock_pins: MockFactory, monkeypatch
):
    buzzer, beeps = a_buzzer(mock_pins, monkeypatch)
    buzzer.show("act", quiet=True)
    buzzer.show("act", quiet=True)
    assert beeps() == 0
    buzzer.show("act")
    assert beeps() == 3
    buzzer.show("act", quiet=True)
    buzzer.show("good", quiet=True)
    buzzer.show("good")
    assert beeps() == 3
    buzzer.close()


def test_lamp_and_buzzer_together(mock_pins: MockFactory, monkeypatch):
    buzzer, beeps = a_buzzer(mock_pins, monkeypatch)
    quiet = [True]
    both = Signals(Lamp(22, 23, 24), buzzer, lambda: quiet[0])
    both.show("act")
    assert beeps() == 0
    quiet[0] = False
    both.show("act")
    assert beeps() == 3
    both.close()
    both.close()


def test_with_neither_there_is_nothing_to_show():
    none = Signals(None, None, lambda: False)
    none.show("act")
    none.close()


def test_a_press_takes_note_and_holding_puts_off(mock_pins: MockFactory):
    button = Button(5, hold_s=0.01)
    pin = mock_pins.pin(5)
    button._switch.hold_time = 10
    pin.drive_low()
    pin.drive_high()
    assert button.take() == (Press.ACKNOWLEDGE,)
    assert button.take() == ()
    button._switch.hold_time = 0.001
    pin.drive_low()
    assert until(lambda: button._held)
    pin.drive_high()
    assert button.take() == (Press.LATER,)
    button.close()
    button.close()


def test_a_jammed_button_does_not_fill_the_memory(mock_pins: MockFactory):
    button = Button(5, hold_s=10)
    pin = mock_pins.pin(5)
    for _ in range(1000):
        pin.drive_low()
        pin.drive_high()
    assert len(button.take()) <= 8
    button.close()


def test_a_machine_without_pins_says_so(monkeypatch):
    """Here gpiozero is real, lgpio is not asked, and nothing is chosen in its place."""
    from pathlib import Path

    import gpiozero

    from hardware import pins

    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setattr(pins, "CHIPS", Path("/nonexistent"))
    with pytest.raises(SensorError) as caught:
        Lamp(22, 23, 24)
    assert "cannot be found on this machine" in caught.value.what
    assert "Raspberry Pi" in caught.value.remedy


def test_a_missing_library_names_its_install_line(monkeypatch, tmp_path):
    import gpiozero

    from hardware import pins

    (tmp_path / "gpiochip0").touch()
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setattr(pins, "CHIPS", tmp_path)
    monkeypatch.setitem(__import__("sys").modules, "lgpio", None)
    with pytest.raises(SensorError) as caught:
        Lamp(22, 23, 24)
    assert "lgpio is not installed" in caught.value.what
    assert "pip install 'jarside[pi]'" in caught.value.remedy
