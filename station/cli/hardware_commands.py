"""`jarside probe`: how the parts are doing."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.errors import SensorError, SettingsError

if TYPE_CHECKING:
    from hardware.signal_probe import SignalReport
    from station.config import SensorSettings
    from station.ports import Sensor


@click.command()
@click.option(
    "--times", type=click.IntRange(3, 1000), default=20, show_default=True, help="How often to ask each part."
)
@click.option("--sensor", metavar="NAME", help="Only this one.")
@json_option
@pass_app
def probe(app: App, times: int, sensor: str | None, *, as_json: bool) -> None:
    """Read every part many times and say how it is doing and what to do about it; then lamp, buzzer and button.

    Stop the station first: two programs cannot hold one pin.

    Example: sudo systemctl stop jarside-watch; jarside probe --times 50
    """
    from hardware.machine import this_machine
    from hardware.opening import PINS_ON
    from hardware.probe import probe as probed
    from station.cli.probe_text import probe_json, probe_text
    from station.cli.progress import counting
    from station.clock import SystemClock

    machine = this_machine()
    if not machine.can_measure:
        raise SensorError("this machine has no pins to probe", PINS_ON)
    chosen = [] if sensor is None and _only_signals(app) else chosen_sensors(app, sensor)
    parts = [(one.part, raw_sensor(one)) for one in chosen]
    with counting("asking", "times", times * len(parts)) as on_ask:
        reports = probed(parts, SystemClock(), times, on_ask)
    signs = () if sensor is not None else _signals(app)
    old = old_corrections(app, [one.name for one in chosen])
    if as_json:
        print_json(probe_json(machine, reports, signs, old))
    else:
        click.echo(probe_text(reports, signs, old, app.settings.units.temperature))
    failing = [report.name for report in reports if not report.verdict.works]
    failing += [report.name for report in signs if not report.sign.works]
    if failing:
        raise SensorError(f"not working: {', '.join(failing)}", "Do what is written beside each, then probe again.")


def _only_signals(app: App) -> bool:
    """Whether the settings name a lamp, a buzzer or a button, but nothing that measures."""
    wired = app.settings.signal
    pins = (wired.red_pin, wired.green_pin, wired.blue_pin, wired.buzzer_pin, wired.button_pin)
    return not app.settings.sensors and any(pin is not None for pin in pins)


def _signals(app: App) -> "tuple[SignalReport, ...]":
    from hardware.signal_probe import probe_signals
    from station.alerts import QuietHours
    from station.clock import SystemClock

    settings, clock = app.settings, SystemClock()
    quiet = QuietHours(settings.quiet.from_, settings.quiet.until, settings.zone).cover(clock.now())
    return probe_signals(settings, clock, quiet=quiet, say=lambda text: click.echo(text, err=True))


def old_corrections(app: App, names: Sequence[str]) -> tuple[str, ...]:
    """Return which of some sensors have a humidity correction that is older than a year."""
    from station.clock import SystemClock
    from station.domain.corrections import due_again
    from station.store.corrections import Corrections

    if not app.notebook_file.is_file():
        return ()
    with app.notebook() as notebook:
        held = Corrections(notebook).holding()
    now_at = SystemClock().now()
    return tuple(one.sensor for one in held if one.sensor in names and due_again(one, now_at))


def chosen_sensors(app: App, name: str | None, measuring: Sequence[str] = ()) -> "list[SensorSettings]":
    """Return the sensors of the settings that are meant.

    Args:
        app: where the settings are.
        name: one sensor's name, or None for all.
        measuring: only these parts; empty for any.

    Raises:
        SettingsError: there is none.
    """
    sensors = [one for one in app.settings.sensors if not measuring or one.part in measuring]
    if name is not None:
        sensors = [one for one in sensors if one.name == name]
    if not sensors:
        known = ", ".join(f"{one.name} ({one.part})" for one in app.settings.sensors) or "none"
        what = "no sensor" if name is None else f"no sensor {name!r}"
        kinds = f" that is a {' or '.join(measuring)}" if measuring else ""
        raise SettingsError(
            f"the settings name {what}{kinds}; they name {known}", "Add a [[sensors]] block, as jarside init shows."
        )
    return sensors


def one_sensor(app: App, name: str | None, measuring: Sequence[str]) -> "SensorSettings":
    """Return the one sensor that is meant.

    Raises:
        SettingsError: there is none, or it is not clear which.
    """
    sensors = chosen_sensors(app, name, measuring)
    if len(sensors) > 1:
        names = ", ".join(one.name for one in sensors)
        raise SettingsError(f"it could be any of {names}", "Say which: --sensor NAME.")
    return sensors[0]


def raw_sensor(one: "SensorSettings") -> "Sensor":
    """Return a sensor without its corrections, in a process of its own."""
    from hardware.apart import apart
    from hardware.rig import part_of

    return apart(part_of(one))
