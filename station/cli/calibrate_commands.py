"""`jarside calibrate`: corrections of sensors against known humidity and known light."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from station.cli.calibrate_text import (
    BAG,
    correction_json,
    history_json,
    history_text,
    known_lx,
    watch_text,
)
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.hardware_commands import one_sensor, raw_sensor
from station.cli.times import now
from station.domain.correction_words import correction_text
from station.domain.corrections import Quantity, humidity_correction, joined, light_correction
from station.domain.salts import Salt

if TYPE_CHECKING:
    from hardware.salt_watch import SaltWatch
    from station.config import SensorSettings
    from station.domain.corrections import Correction, Point
    from station.ports import Sensor

HUMIDITY = ("dht22", "dht11")
LIGHT = ("photoresistor", "mcp3008", "bh1750", "veml7700")
TELL_EVERY_S = 600.0

sensor_option = click.option("--sensor", metavar="NAME", help="Which one, if the settings name several.")
afresh_option = click.option("--afresh", is_flag=True, help="Leave earlier points of this sensor out.")


@click.group(cls=Group)
def calibrate() -> None:
    """Corrections: humidity against a damp salt, light against known moments; list, remove."""


@calibrate.command()
@click.option("--salt", type=click.Choice([salt.value for salt in Salt]), required=True, help="What is in the bag.")
@sensor_option
@afresh_option
@json_option
@pass_app
def humidity(app: App, salt: str, sensor: str | None, *, afresh: bool, as_json: bool) -> None:
    """Compare a humidity sensor with a damp salt in a sealed bag. It takes a few hours and decides by itself.

    One salt gives an offset; a second one, within two months, an offset and a gain. Magnesium chloride and sodium
    chloride are a good pair. Stop the station first.

    Example: jarside calibrate humidity --salt sodium-chloride
    """
    from hardware.calibrate import salt_point
    from station.clock import SystemClock

    one = one_sensor(app, sensor, HUMIDITY)
    with _open(one) as part:
        if not as_json:
            click.echo(BAG.format(name=one.name, salt=salt.replace("-", " ")))
        point = salt_point(part, Salt(salt), SystemClock(), _teller())
    _keep(app, one.name, point, Quantity.HUMIDITY, afresh=afresh, as_json=as_json)


@calibrate.command()
@click.option("--is", "known", metavar="LIGHT", required=True, help="How light it is: 850lx, or room, shade, sun.")
@sensor_option
@afresh_option
@json_option
@pass_app
def light(app: App, known: str, sensor: str | None, *, afresh: bool, as_json: bool) -> None:
    """Tell a light sensor how light it is right now; do it in two or more moments that differ much.

    With a lux meter beside the sensor give its figure. Without one: `room` is a table away from the window (about
    300 lx), `shade` the shade beside a window (about 2,000 lx), `sun` direct sun through the window (about 8,000 lx).
    Stop the station first.

    Example: jarside calibrate light --is 850lx
    """
    from hardware.calibrate import light_point
    from station.clock import SystemClock

    lx, basis = known_lx(known)
    one = one_sensor(app, sensor, LIGHT)
    with _open(one) as part:
        point = light_point(part, lx, basis, SystemClock())
    _keep(app, one.name, point, Quantity.LIGHT, afresh=afresh, as_json=as_json)


@calibrate.command(name="list")
@json_option
@pass_app
def list_(app: App, *, as_json: bool) -> None:
    """List the corrections that hold and those that held.

    Example: jarside calibrate list
    """
    from station.store.corrections import Corrections

    with app.notebook() as notebook:
        history = Corrections(notebook).history()
    if as_json:
        print_json(history_json(history, now()))
    else:
        click.echo(history_text(history, app.zone, now()))


@calibrate.command()
@click.argument("name")
@json_option
@pass_app
def remove(app: App, name: str, *, as_json: bool) -> None:
    """Let a correction stop holding. What it did stays known, so earlier values can be turned back into raw ones.

    Example: jarside calibrate remove shelf-air-humidity
    """
    from station.store.corrections import Corrections

    with app.notebook() as notebook:
        removed = Corrections(notebook).remove(name, now_at=now())
    if as_json:
        print_json({"removed": correction_json(removed)})
    else:
        click.echo(f"No longer: {correction_text(removed)}")


@contextmanager
def _open(one: "SensorSettings") -> "Iterator[Sensor]":
    """Open a raw sensor and see that it answers at all, before hours are spent on it."""
    from hardware.calibrate import first_answer
    from station.clock import SystemClock

    part = raw_sensor(one)
    part.open()
    try:
        first_answer(part, SystemClock())
        yield part
    finally:
        part.close()


def _teller() -> "Callable[[SaltWatch, float], None]":
    """Return what tells a person every ten minutes how the bag is doing."""
    told_s = 0.0

    def tell(watch: "SaltWatch", elapsed_s: float) -> None:
        nonlocal told_s
        if elapsed_s - told_s >= TELL_EVERY_S:
            told_s = elapsed_s
            click.echo(watch_text(watch, elapsed_s), err=True)

    return tell


def _keep(app: App, sensor: str, point: "Point", quantity: Quantity, *, afresh: bool, as_json: bool) -> None:
    """Draw the line through this point and those before it, keep it, and say so."""
    from station.store.corrections import Corrections

    with app.notebook() as notebook:
        corrections = Corrections(notebook)
        before = next((one for one in corrections.holding() if one.sensor == sensor and one.quantity is quantity), None)
        points = joined(before.points if before and not afresh else (), point, quantity)
        draw = humidity_correction if quantity is Quantity.HUMIDITY else light_correction
        correction = draw(sensor, points, point.at)
        name = corrections.make(correction, now_at=now())
    _tell(name, correction, as_json=as_json)


def _tell(name: str, correction: "Correction", *, as_json: bool) -> None:
    if as_json:
        print_json({"name": name, **correction_json(correction)})
    else:
        click.echo(f"Kept {name}: {correction_text(correction)}")
