"""`jarside demo`: a simulated shelf, its station and its pages in one go."""

import signal
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from station.cli.words import Within
from station.errors import SettingsError

if TYPE_CHECKING:
    from fastapi import FastAPI

    from sim.demo import Demo
    from station.config import MqttSettings
    from station.mqtt import MqttPublisher

READY_WITHIN_S = 300.0


@click.command()
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8420, show_default=True, help="Where to serve the pages."
)
@click.option("--speed", type=Within(0.1, 3600.0), default=60.0, show_default=True, help="Simulated seconds a second.")
@click.option(
    "--scenario", "name", default="ordinary-kitchen", show_default=True, help="Which shelf; a wrong name lists them."
)
@click.option("--days", type=Within(1.0, 120.0), default=16.0, show_default=True, help="How much history.")
@click.option("--us", is_flag=True, help="Show °F and US amounts; else °C and metric ones.")
@click.option("--mqtt", "broker", metavar="HOST:PORT", help="Publish what the simulated station says to this broker.")
@click.option("--mqtt-user", metavar="NAME", help="The user name there.")
@click.option("--mqtt-password-file", type=click.Path(path_type=Path), help="A file with the password there.")
def demo(
    port: int,
    speed: float,
    name: str,
    days: float,
    *,
    us: bool,
    broker: str | None,
    mqtt_user: str | None,
    mqtt_password_file: Path | None,
) -> None:
    """Show a simulated shelf: no hardware, no broker, no passphrase, on this machine only. Ctrl-C ends it.

    Example: jarside demo --scenario window-sill-may --speed 600
    """
    from dashboard.serve import check_port, serve
    from sim.demo import METRIC, US, Demo
    from sim.scenario import load
    from station.clock import SystemClock

    scenario = load(name)
    to_broker = _broker_settings(broker, mqtt_user, mqtt_password_file)
    check_port("127.0.0.1", port)
    with tempfile.TemporaryDirectory(prefix="jarside-demo-") as folder:
        _end_quietly()
        shelf = Demo(scenario, Path(folder), SystemClock(), days, speed, US if us else METRIC)
        click.echo(f"{scenario.title}: {days:g} days of history ...")
        with _begun(shelf, round(days * 1440), _publisher(shelf, to_broker)):
            click.echo("\n".join(_running(shelf, port, speed, to_broker)))
            serve(_pages(shelf, Path(folder), port, to_broker), "127.0.0.1", port)


def _end_quietly() -> None:
    """Let a signal end the demo in order, also while its history is written: its folder goes however it is ended."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: sys.exit(0))
    if signal.getsignal(signal.SIGHUP) is not signal.SIG_IGN:  # which it is under nohup
        signal.signal(signal.SIGHUP, lambda *_: signal.raise_signal(signal.SIGTERM))  # that the server knows of, too


def _broker_settings(broker: str | None, user: str | None, password_file: Path | None) -> "MqttSettings | None":
    """Return where to publish, as the settings of a station would say it.

    Raises:
        SettingsError: it is not of the form HOST:PORT, or a user or password is given without a broker.
    """
    if broker is None:
        if user or password_file:
            raise SettingsError("a user or password for a broker, and no broker", "Add --mqtt HOST:PORT.")
        return None
    from pydantic import ValidationError

    from station.config import MqttSettings

    host, colon, port = broker.rpartition(":")
    if not colon:
        raise SettingsError(f"--mqtt {broker}: the port is missing", f"Example: --mqtt {broker}:1883.")
    given = {"host": host, "port": port, "username": user, "password_file": password_file}
    try:
        return MqttSettings.model_validate(given)
    except ValidationError:
        raise SettingsError(
            f"--mqtt {broker}: not a broker, or a password without a user", "Example: --mqtt 127.0.0.1:1883."
        ) from None


def _publisher(shelf: "Demo", settings: "MqttSettings | None") -> "MqttPublisher | None":
    if settings is None:
        return None
    from station.clock import SystemClock
    from station.mqtt import MqttPublisher

    return MqttPublisher(settings, shelf.settings.station, SystemClock())


@contextmanager
def _begun(shelf: "Demo", minutes: int, publisher: "MqttPublisher | None") -> Iterator[None]:
    """Let the station live in a thread of its own; what is within begins once its history is there, so many minutes."""
    from station.cli.progress import counting

    ready = threading.Event()
    failure: list[BaseException] = []

    def live(on_progress: Callable[[int], None]) -> None:
        try:
            shelf.run(ready, on_progress, publisher)
        except BaseException as error:  # noqa: BLE001 - handed to the main thread, which raises it
            failure.append(error)
            ready.set()

    with ExitStack() as at_end:
        with counting("simulating", "minutes", minutes) as on_progress:
            station = threading.Thread(target=live, args=(on_progress,), name="station", daemon=True)
            station.start()
            at_end.callback(station.join, timeout=5.0)
            at_end.callback(shelf.stop)
            ready.wait(READY_WITHIN_S)
        if failure:
            raise failure[0]
        yield


def _running(shelf: "Demo", port: int, speed: float, to_broker: "MqttSettings | None") -> Iterator[str]:
    """Yield what to know of a demo that is up: where it is, what its dates are, and who hears of it."""
    yield f"The shelf is at http://127.0.0.1:{port}/ and runs {speed:g} times as fast as yours. Ctrl-C ends it."
    if shelf.scenario.own_dates:
        yield _own_dates(shelf)
    if to_broker is not None:
        yield f"It publishes to {to_broker.host}:{to_broker.port} below jarside/{shelf.settings.station}/."


def _own_dates(shelf: "Demo") -> str:
    from station.domain.moments import date_text

    first = date_text(shelf.scenario.start_at, shelf.settings.zone)
    return (
        f"It keeps its own time of year, sun and weather included: it began on {first}, and its dates are not today's."
    )


def _pages(shelf: "Demo", folder: Path, port: int, to_broker: "MqttSettings | None") -> "FastAPI":
    from dashboard.app import create_app
    from station.cli.lending import lent

    notice = "A simulated shelf, for looking around."
    if shelf.scenario.own_dates:
        notice = f"{notice} {_own_dates(shelf)}"
    pages = shelf.settings.dashboard.model_copy(update={"port": port})  # where the codes on labels lead
    settings = shelf.settings.model_copy(update={"dashboard": pages, "mqtt": to_broker or shelf.settings.mqtt})
    return create_app(settings, folder, shelf.rig.clock.now, notice=notice, lent=lent(settings, folder))
