"""`jarside jar`: what the grower records of a jar, from packing to straining."""

from datetime import datetime

import click

from station.cli.frame import App, json_option, moment, now, pass_app, print_json
from station.cli.jar_text import jar_json, jar_line, jar_page
from station.domain.jars import Discarded, Jar, Judged, Judgement, Noted, Strained
from station.errors import JarsideError

JUDGEMENTS = {"right": Judgement.RIGHT, "too-early": Judgement.TOO_EARLY, "too-late": Judgement.TOO_LATE}

at_option = click.option("--at", metavar="TIME", help="When, if not now: 2026-05-14T07:00, local time.")


@click.group()
def jar() -> None:
    """Jars: pack, note, strain, discard, list, show."""


@jar.command()
@click.argument("plant")
@click.option("--weight", metavar="AMOUNT", help="Weight of the plant, such as 260g.")
@click.option("--sugar", metavar="AMOUNT", help="Weight of the sugar, such as 173g.")
@click.option("--jar", "size", metavar="AMOUNT", default="1L", show_default=True, help="The jar's volume.")
@click.option("--probe", default="", help="The name of the probe on it, if it has one.")
@at_option
@json_option
@pass_app
def pack(
    app: App,
    plant: str,
    weight: str | None,
    sugar: str | None,
    size: str,
    probe: str,
    at: str | None,
    *,
    as_json: bool,
) -> None:
    """Record that a jar was packed; it gets a name such as comfrey-1.

    Example: jarside jar pack comfrey --weight 260g --sugar 173g --at 2026-05-14T07:00
    """
    from station.domain.quantities import volume_ml, weight_g

    _check_probe(app, probe)
    with app.notebook() as notebook:
        packed = notebook.pack(
            plant,
            _when(at, app),
            volume_ml(size),
            now_at=now(),
            plant_g=weight_g(weight) if weight else None,
            sugar_g=weight_g(sugar) if sugar else None,
            probe=probe,
        )
    _tell(app, packed, f"Packed {packed.id}.", as_json=as_json)


@jar.command()
@click.argument("name")
@click.argument("text")
@at_option
@json_option
@pass_app
def note(app: App, name: str, text: str, at: str | None, *, as_json: bool) -> None:
    """Write a note about a jar: what was seen, smelled or thought.

    Example: jarside jar note comfrey-1 "juice up to the stone, smells sweet"
    """
    if not text.strip():
        raise JarsideError("the note is empty", 'Example: jarside jar note comfrey-1 "smells sweet".')
    with app.notebook() as notebook:
        noted = notebook.record(Noted(notebook.jar(name).id, _when(at, app), text.strip()), now_at=now())
    _tell(app, noted, f"Noted with {noted.id}.", as_json=as_json)


@jar.command()
@click.argument("name")
@click.option("--judge", type=click.Choice(list(JUDGEMENTS)), help="Was it the right time?")
@at_option
@json_option
@pass_app
def strain(app: App, name: str, judge: str | None, at: str | None, *, as_json: bool) -> None:
    """Record that a jar was tipped into the strainer. Let it drip overnight, without squeezing.

    Example: jarside jar strain comfrey-1 --judge right
    """
    with app.notebook() as notebook:
        jar_id, when = notebook.jar(name).id, _when(at, app)
        strained = notebook.record(Strained(jar_id, when), now_at=now())
        if judge:
            strained = notebook.record(Judged(jar_id, when, JUDGEMENTS[judge]), now_at=now())
    _tell(app, strained, f"Strained {strained.id}. Collect the juice in the morning.", as_json=as_json)


@jar.command()
@click.argument("name")
@click.option("--reason", default="", help="Why, such as mould.")
@at_option
@json_option
@pass_app
def discard(app: App, name: str, reason: str, at: str | None, *, as_json: bool) -> None:
    """Record that a whole jar was thrown away. Do not taste a jar with coloured mould or a foul smell.

    Example: jarside jar discard comfrey-1 --reason "fuzzy green mould"
    """
    with app.notebook() as notebook:
        gone = notebook.record(Discarded(notebook.jar(name).id, _when(at, app), reason), now_at=now())
    _tell(app, gone, f"Discarded {gone.id}.", as_json=as_json)


@jar.command(name="list")
@click.option("--all", "everything", is_flag=True, help="Also jars that are bottled or discarded.")
@json_option
@pass_app
def list_(app: App, *, everything: bool, as_json: bool) -> None:
    """List the jars with their stage, warmth, range and strain evening.

    Example: jarside jar list --all
    """
    with app.notebook() as notebook:
        jars = [one for one in notebook.jars() if everything or _current(one)]
    outlooks = {outlook.jar_id: outlook for outlook in app.shelf().outlooks()}
    if as_json:
        print_json([jar_json(one, outlooks.get(one.id)) for one in jars])
    elif not jars:
        click.echo("No jars yet. Record one with: jarside jar pack PLANT")
    else:
        click.echo("\n".join(jar_line(one, outlooks.get(one.id), app.zone) for one in jars))


@jar.command()
@click.argument("name")
@json_option
@pass_app
def show(app: App, name: str, *, as_json: bool) -> None:
    """Show everything about a jar: its warmth, its range, its notes.

    Example: jarside jar show comfrey-1
    """
    with app.notebook() as notebook:
        found = notebook.jar(name)
    outlook = app.shelf().outlook(found.id)
    if as_json:
        print_json(jar_json(found, outlook))
    else:
        click.echo(jar_page(found, outlook, app.zone))


def _current(jar: Jar) -> bool:
    return jar.bottled_at is None and jar.discarded_at is None


def _when(at: str | None, app: App) -> datetime:
    return moment(at, app.zone) if at else now()


def _check_probe(app: App, probe: str) -> None:
    probes = [sensor.name for sensor in app.settings.sensors if sensor.role == "jar"]
    if probe and probe not in probes:
        raise JarsideError(
            f"there is no probe {probe!r} in the settings", f"Known probes: {', '.join(probes) or 'none'}."
        )


def _tell(app: App, jar: Jar, text: str, *, as_json: bool) -> None:
    if as_json:
        print_json(jar_json(jar, app.shelf().outlook(jar.id)))
    else:
        click.echo(text)
