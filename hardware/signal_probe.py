"""The rest of `jarside probe`: lamp, buzzer and button, which only a person can see, hear and press."""

import enum
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from hardware.button import Button
from hardware.buzzer import Buzzer
from hardware.lamp import LOOKS, Lamp
from hardware.rig import button_of, buzzer_of, check_pins, lamp_of
from station.config import Settings
from station.errors import SensorError
from station.ports import Clock

Opened = TypeVar("Opened", Lamp, Buzzer, Button)

SHOWN_S = 3.5
"""Long enough for the rarest dip."""
HEARD_S = 0.6
WAIT_S = 8.0
LOOK_EVERY_S = 0.1
COLOURS = {"good": "green without a dip", "watch": "yellow with slow dips", "act": "red with quick dips"}
LAMP_WIRES = "If a colour was missing or another, check its pin, its resistor and common_anode in the settings."
BUZZER_WIRES = "If nothing was heard, turn it round (+ to the pin) and see that it is an active buzzer."
BUTTON_WIRES = "Press it while the probe waits; if it is pressed and not seen, check its two wires: the pin and ground."
STUCK = "Its pin is at ground all the time: look for a short, or a button with four legs turned by a quarter."


class Sign(enum.StrEnum):
    """How a part that signals, or is pressed, is doing."""

    SHOWN = "shown"
    SOUNDED = "sounded"
    PRESSED = "pressed"
    UNPRESSED = "not pressed"
    QUIET = "not tried in quiet hours"
    STUCK = "held down"
    CLOSED = "cannot be opened"
    SKIPPED = "skipped: not in the settings"

    @property
    def works(self) -> bool:
        """Whether nothing speaks against it."""
        return self not in (Sign.STUCK, Sign.CLOSED)


@dataclass(frozen=True, slots=True)
class SignalReport:
    """How one of the three is doing.

    Args:
        name: lamp, buzzer or button.
        sign: what came of it.
        reason: why it cannot be opened, or "".
        advice: what to do if it was not seen, heard or noticed; empty if there is nothing to say.
    """

    name: str
    sign: Sign
    reason: str = ""
    advice: str = ""


def probe_signals(
    settings: Settings, clock: Clock, *, quiet: bool, say: Callable[[str], None]
) -> tuple[SignalReport, ...]:
    """Show every colour, sound once, and wait for a press.

    Args:
        settings: name the pins.
        clock: waits.
        quiet: whether it is quiet hours: then nothing sounds.
        say: tells the person what comes next.

    Raises:
        SettingsError: two parts share a pin, or the lamp has not all of its three pins.
    """
    check_pins(settings)
    return (
        _tried("lamp", lambda: lamp_of(settings), lambda lamp: _shown(lamp, clock, say)),
        _tried("buzzer", lambda: buzzer_of(settings), lambda buzzer: _sounded(buzzer, clock, say, quiet=quiet)),
        _tried("button", lambda: button_of(settings), lambda button: _pressed(button, clock, say)),
    )


def _tried(name: str, opened: Callable[[], Opened | None], looked_at: Callable[[Opened], SignalReport]) -> SignalReport:
    try:
        part = opened()
    except SensorError as error:
        return SignalReport(name, Sign.CLOSED, error.what, error.remedy)
    if part is None:
        return SignalReport(name, Sign.SKIPPED)
    try:
        return looked_at(part)
    finally:
        part.close()


def _shown(lamp: Lamp, clock: Clock, say: Callable[[str], None]) -> SignalReport:
    for level in LOOKS:
        say(f"The lamp shows {COLOURS[level]}.")
        lamp.show(level)
        clock.sleep(SHOWN_S)
    lamp.show("dark")
    return SignalReport("lamp", Sign.SHOWN, advice=LAMP_WIRES)


def _sounded(buzzer: Buzzer, clock: Clock, say: Callable[[str], None], *, quiet: bool) -> SignalReport:
    if quiet:
        return SignalReport("buzzer", Sign.QUIET, advice="Probe again when the quiet hours are over.")
    say("The buzzer sounds once.")
    buzzer.chirp()
    clock.sleep(HEARD_S)
    return SignalReport("buzzer", Sign.SOUNDED, advice=BUZZER_WIRES)


def _pressed(button: Button, clock: Clock, say: Callable[[str], None]) -> SignalReport:
    if button.down:
        return SignalReport("button", Sign.STUCK, advice=STUCK)
    say(f"Press the button now; the probe waits {WAIT_S:.0f} seconds.")
    until_s = clock.boottime_s() + WAIT_S
    while clock.boottime_s() < until_s:
        if button.take():
            return SignalReport("button", Sign.PRESSED)
        clock.sleep(LOOK_EVERY_S)
    return SignalReport("button", Sign.UNPRESSED, advice=BUTTON_WIRES)
