"""`jarside watch`: the station itself."""

import os
import signal
import sys
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import click

from station.cli.frame import App, pass_app
from station.errors import JarsideError, SettingsError

if TYPE_CHECKING:
    from collections.abc import Callable

    from station.config import Settings
    from station.daemon import JudgedMinute, Station
    from station.domain.alert import Alert
    from station.mqtt import MqttPublisher
    from station.notify import PeoplePublisher
    from station.ports import Clock
    from station.store.notebook import Notebook


@click.command()
@click.option("--check", is_flag=True, help="Only check the settings and say what the station would use.")
@pass_app
def watch(app: App, *, check: bool) -> None:
    """Measure the shelf every minute, judge it, keep it, and send what matters. Ends on SIGTERM or Ctrl-C.

    Example: jarside --config /etc/jarside/jarside.toml watch
    """
    if check:
        _check(app.settings)
        _warn(app)
        return
    from hardware.rig import rig_of
    from station.alerts import QuietHours
    from station.clock import SystemClock
    from station.daemon import Station
    from station.store.corrections import Corrections
    from station.store.shelf_log import ShelfLog

    settings, clock = app.settings, SystemClock()
    quiet = QuietHours(settings.quiet.from_, settings.quiet.until, settings.zone)
    app.folder()
    brought_up_to_date(app)
    with app.notebook() as notebook, ShelfLog.open(app.shelf_file) as log:
        broker, people = broker_of(settings, clock), people_of(settings, clock)
        rig = rig_of(settings, clock, broker, Corrections(notebook).following(), lambda: quiet.cover(clock.now()))
        rig = replace(rig, people=people)
        click.echo(beginning(app))
        _warn(app)
        run(Station(settings, rig, log, notebook, _told(), hear=_answers(settings, notebook, clock, broker)))


def _check(settings: "Settings") -> None:
    """Say what the station would use.

    Raises:
        SettingsError: nothing can be sent to one of the targets.
    """
    from station.clock import SystemClock
    from station.rehearsal import unusable

    for way in unusable(settings, SystemClock()):
        raise SettingsError(way.line.removesuffix("."), way.remedy)
    names = ", ".join(f"{one.name} ({one.part})" for one in settings.sensors) or "none"
    click.echo(f"settings fine; data in {settings.data_folder}; sensors: {names}")


def _warn(app: App) -> None:
    from station.cli.open_files import open_files

    for warning in open_files(app.settings, app.settings_file):
        click.echo(warning, err=True)


def beginning(app: App) -> str:
    """Return what the station says when it starts: where it writes, and what it measures with."""
    names = ", ".join(one.name for one in app.settings.sensors)
    return (
        f"Measuring into {app.settings.data_folder}; "
        f"sensors: {names or f'none yet, name them under [[sensors]] in {app.settings_file}'}"
    )


def brought_up_to_date(app: App) -> None:
    """Bring both files up to date in a process that ends with it.

    The library that makes tables is wanted once, and would fill 2.4 MB of the station for as long as it lives. Should
    it fail there, the station tries again itself, and says why.
    """
    from station.store.notebook import Notebook
    from station.store.shelf_log import ShelfLog

    child = os.fork()  # the station has one thread only at this point
    if child:
        os.waitpid(child, 0)
        return
    try:
        with suppress(JarsideError), Notebook.open(app.notebook_file), ShelfLog.open(app.shelf_file):
            pass
    finally:
        os._exit(0)


def broker_of(settings: "Settings", clock: "Clock") -> "MqttPublisher | None":
    """Return the way to the broker of the settings, if there is one; only then its library is loaded."""
    if settings.mqtt.host is None:
        return None
    from station.mqtt import MqttPublisher

    return MqttPublisher(settings.mqtt, settings.station, clock)


def people_of(settings: "Settings", clock: "Clock") -> "PeoplePublisher | None":
    """Return the ways to the targets of the settings, if there are any."""
    if not settings.notify:
        return None
    from station.notify import PeoplePublisher

    return PeoplePublisher(settings.notify, f"Jarside {settings.station}", clock)


def _told() -> "Callable[[JudgedMinute], None]":
    """Return what is done after each kept minute: the watchdog fed, and said in the log what has become of the ways."""
    from station.cli.way_log import WayLog

    way_log = WayLog(partial(click.echo, err=True))

    def told(judged: "JudgedMinute") -> None:
        good_minute(judged)
        way_log(judged)

    return told


def _answers(
    settings: "Settings", notebook: "Notebook", clock: "Clock", broker: "MqttPublisher | None"
) -> "Callable[[tuple[Alert, ...]], None]":
    """Return what is done at the end of each minute: heard what people want of the alerts."""
    from hardware.rig import button_of
    from station.cli.button_answers import ButtonAnswers
    from station.cli.command_answers import CommandAnswers

    todo: list[Callable[[tuple[Alert, ...]], None]] = []
    button = button_of(settings)
    if button is not None:
        todo.append(ButtonAnswers(button, notebook, clock.now, settings.quiet.until, settings.zone))
    if broker is not None:
        todo.append(CommandAnswers(broker, notebook))

    def hear(alerts: "tuple[Alert, ...]") -> None:
        for one in todo:
            one(alerts)

    return hear


def run(station: "Station") -> None:
    """Let a station live until it is told to end; its service manager hears how it is."""
    from station.health import sd_notify

    for number in (signal.SIGTERM, signal.SIGINT):  # first of all: who sees it online may tell it to end
        signal.signal(number, lambda *_: station.stop())
    station.start()
    sd_notify("READY=1", "STATUS=measuring")
    try:
        station.run()
    finally:
        sd_notify("STOPPING=1")
        station.close()
    sys.stdout.flush()


def good_minute(judged: "JudgedMinute") -> None:
    """Feed the watchdog: a minute gathered, judged and kept is the sign of life; a dead sensor is no dead station."""
    from station.health import sd_notify

    reading = judged.minute.reading
    if reading is None or not reading.measured:
        sd_notify("WATCHDOG=1", "STATUS=no good sample in the last minute")
        return
    temp = "" if reading.temp_c is None else f"{reading.temp_c:.1f} °C, "
    sd_notify(
        "WATCHDOG=1", f"STATUS={temp}{len(judged.memory.alerts)} open alerts, last minute {reading.measured_at:%H:%M}Z"
    )
