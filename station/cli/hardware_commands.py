"""`jarside probe`: how the parts are doing."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.errors import SensorError, SettingsError

if TYPE_CHECKING:
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
    """Read every part many times and say how it is doing and what to do about it.

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
    chosen = chosen_sensors(app, sensor)
    parts = [(one.part, raw_sensor(one)) for one in chosen]
    with counting("asking", "times", times * len(parts)) as on_ask:
        reports = probed(parts, SystemClock(), times, on_ask)
    if as_json:
        print_json(probe_json(machine, reports))
    else:
        click.echo(probe_text(reports, app.settings.units.temperature))
    failing = [report.name for report in reports if not report.verdict.works]
    if failing:
        raise SensorError(f"not working: {', '.join(failing)}", "Do what is written beside each, then probe again.")


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
