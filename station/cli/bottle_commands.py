"""`jarside bottle`: juice in store."""

from typing import Any

import click

from station.cli.bottle_text import bottle_json, bottle_page, bottle_row
from station.cli.columns import aligned
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import at_option, now, said_at
from station.cli.words import Id, Word
from station.domain.bottling import Bottle, BottleEntry, Drawn, Emptied, Filled, LidClosed, Moved
from station.domain.storage import Storage
from station.errors import JarsideError


@click.group(cls=Group)
def bottle() -> None:
    """Bottles: fill, list, show, use, move, close, empty. (A strained jar is bottled with: jarside jar bottle.)

    Example: jarside bottle list
    """


@bottle.command()
@click.argument("source")
@click.argument("amounts", nargs=-1, required=True, metavar="AMOUNT...")
@click.option("--size", metavar="AMOUNT", help="What each bottle holds to the brim; a third should stay empty.")
@click.option("--storage", type=Word(Storage), default="cool", show_default=True, help="Where it is kept.")
@click.option("--note", default="", help="Anything else.")
@at_option
@json_option
@pass_app
def fill(app: App, source: str, amounts: tuple[str, ...], *, as_json: bool, at: str | None, **how: Any) -> None:
    """Record bottles of juice: from a jar collected before, or from elsewhere under the plant's name.

    Example: jarside bottle fill "gift of borage" 200mL 200mL --size 330mL
    """
    from station.domain.quantities import volume_ml
    from station.store.bottles import Bottles, Fill

    size_ml = volume_ml(how["size"]) if how["size"] else None
    fills = [Fill(volume_ml(amount), size_ml) for amount in amounts]
    with app.notebook() as notebook:
        jar_id = next((name for name in notebook.ids() if name == source.strip().lower()), "")
        plant = notebook.jar(jar_id).plant if jar_id else source.strip()
        if not plant:
            raise JarsideError("the source is empty", "Name the jar or the plant.")
        model = Filled("", said_at(app, at), jar_id, plant, 0.0, None, how["storage"], how["note"])
        filled = Bottles(notebook).fill(fills, model, now_at=now())
    tell_filled(app, filled, as_json=as_json)


def tell_filled(app: App, filled: tuple[Bottle, ...], *, as_json: bool) -> None:
    """Say which bottles were filled, and what is to be minded."""
    from station.domain.bottling import FILLING
    from station.domain.cautions import Step, cautions_for

    keeping = app.settings.keeping.keeping()
    if as_json:
        print_json([bottle_json(one, now(), keeping) for one in filled])
        return
    click.echo(aligned(bottle_row(app, one, now(), keeping) for one in filled))
    click.echo(FILLING)
    click.echo("\n".join(cautions_for(Step.BOTTLE)))


@bottle.command(name="list")
@click.option("--all", "everything", is_flag=True, help="Also empty ones.")
@json_option
@pass_app
def list_(app: App, *, everything: bool, as_json: bool) -> None:
    """List the bottles in store, the one to use first on top.

    Example: jarside bottle list
    """
    from station.domain.bottling import oldest_first
    from station.store.bottles import Bottles

    keeping = app.settings.keeping.keeping()
    with app.notebook() as notebook:
        bottles = Bottles(notebook).bottles()
    listed = [*oldest_first(bottles, keeping), *(one for one in bottles if everything and not one.in_store)]
    if as_json:
        print_json([bottle_json(one, now(), keeping) for one in listed])
    elif not listed:
        click.echo("No bottles in store. Record them with: jarside jar bottle JAR")
    else:
        click.echo(aligned(bottle_row(app, one, now(), keeping) for one in listed))


@bottle.command()
@click.argument("name", type=Id("bottle"))
@json_option
@pass_app
def show(app: App, name: str, *, as_json: bool) -> None:
    """Show a bottle: what is left, how long it keeps, and the pressure if it were closed now.

    Example: jarside bottle show comfrey-1-a
    """
    from station.store.bottles import Bottles

    keeping = app.settings.keeping.keeping()
    with app.notebook() as notebook:
        found = Bottles(notebook).bottle(name)
        jar = next((one for one in notebook.jars() if one.id == found.jar_id), None)
    if as_json:
        print_json(bottle_json(found, now(), keeping, jar))
    else:
        click.echo("\n".join(bottle_page(app, found, jar, now(), keeping)))


@bottle.command()
@click.argument("name", type=Id("bottle"))
@click.argument("amount")
@click.option("--note", default="", help="What for.")
@click.option("--anyway", is_flag=True, help="Record it even if more is taken than is left.")
@at_option
@json_option
@pass_app
def use(app: App, name: str, amount: str, *, note: str, anyway: bool, at: str | None, as_json: bool) -> None:
    """Record that juice was taken out. (With what it was given to: jarside feed give.)

    Example: jarside bottle use comfrey-1-a 20mL --note "for a neighbour"
    """
    from station.domain.quantities import volume_ml

    drawn = Drawn("", said_at(app, at), volume_ml(amount), note=note)
    _record(app, name, drawn, as_json=as_json, anyway=anyway)


@bottle.command()
@click.argument("name", type=Id("bottle"))
@click.argument("storage", type=Word(Storage))
@at_option
@json_option
@pass_app
def move(app: App, name: str, storage: Storage, *, at: str | None, as_json: bool) -> None:
    """Record that a bottle now stands cool and dark or at room temperature.

    Example: jarside bottle move comfrey-1-a cool
    """
    _record(app, name, Moved("", said_at(app, at), storage), as_json=as_json)


@bottle.command()
@click.argument("name", type=Id("bottle"))
@at_option
@json_option
@pass_app
def close(app: App, name: str, *, at: str | None, as_json: bool) -> None:
    """Record that the lid was closed. Not before it has stopped working: gas builds pressure.

    Example: jarside bottle close comfrey-1-a
    """
    _record(app, name, LidClosed("", said_at(app, at)), as_json=as_json)


@bottle.command()
@click.argument("name", type=Id("bottle"))
@click.option("--reason", default="", help="Used up, spilt, spoilt.")
@at_option
@json_option
@pass_app
def empty(app: App, name: str, *, reason: str, at: str | None, as_json: bool) -> None:
    """Record that a bottle is empty: the rest was used up, spilt or thrown away.

    Example: jarside bottle empty comfrey-1-a --reason spilt
    """
    _record(app, name, Emptied("", said_at(app, at), reason), as_json=as_json)


def _record(app: App, name: str, entry: BottleEntry, *, as_json: bool, anyway: bool = False) -> None:
    from dataclasses import replace

    from station.store.bottles import Bottles

    keeping = app.settings.keeping.keeping()
    with app.notebook() as notebook:
        bottles = Bottles(notebook)
        found = bottles.record(replace(entry, bottle_id=bottles.bottle(name).id), now_at=now(), anyway=anyway)
    if as_json:
        print_json(bottle_json(found, now(), keeping))
        return
    click.echo(aligned([bottle_row(app, found, now(), keeping)]))
