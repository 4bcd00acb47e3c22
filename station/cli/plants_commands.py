"""`jarside plants`: what is known of the plants, and the grower's own."""

from typing import Any

import click

from station.cli.columns import aligned
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import now
from station.cli.words import Word
from station.domain.plants import Moisture, Plant


@click.group(cls=Group, invoke_without_command=True)
@click.option("--own", is_flag=True, help="Only those you added.")
@json_option
@click.pass_context
def plants(ctx: click.Context, *, own: bool, as_json: bool) -> None:
    """Plants: list them, show one, add or drop your own.

    Example: jarside plants show comfrey
    """
    if ctx.invoked_subcommand is None:
        _list(ctx.find_object(App) or App(None, None), own=own, as_json=as_json)


@plants.command("list")
@click.option("--own", is_flag=True, help="Only those you added.")
@json_option
@pass_app
def list_plants(app: App, *, own: bool, as_json: bool) -> None:
    """List the plants, as `jarside plants` alone does.

    Example: jarside plants list --own
    """
    _list(app, own=own, as_json=as_json)


def _list(app: App, *, own: bool, as_json: bool) -> None:
    from station.cli.mixing import own_plants
    from station.domain.plants import all_plants

    mine = own_plants(app)
    listed = [plant for plant in all_plants(mine) if plant.own or not own]
    if as_json:
        print_json([plant_json(plant) for plant in listed])
    elif not listed:
        click.echo("No plants of your own yet. Add one with: jarside plants add NAME --moisture dry")
    else:
        click.echo(aligned(_row(plant) for plant in listed))


def plant_json(plant: Plant) -> dict[str, Any]:
    """Return a plant for programs."""
    return {
        "name": plant.name,
        "moisture": str(plant.moisture),
        "ratio": plant.ratio,
        "parts": plant.parts,
        "picking": plant.picking,
        "cautions": list(plant.cautions),
        "also": list(plant.also),
        "own": plant.own,
    }


def _row(plant: Plant) -> tuple[str, ...]:
    from station.domain.mix import ratio_text

    marks = ("yours" if plant.own else "", "mind the cautions" if plant.cautions else "")
    note = ", ".join(mark for mark in marks if mark)
    return plant.name, plant.moisture, ratio_text(plant.ratio), plant.parts, note and f"({note})"


@plants.command()
@click.argument("name")
@json_option
@pass_app
def show(app: App, name: str, *, as_json: bool) -> None:
    """Show a plant: how juicy it is, what to pick and when, what to mind.

    Example: jarside plants show comfrey
    """
    from station.cli.mixing import own_plants
    from station.domain.plants import plant_named

    plant = plant_named(name, own_plants(app))
    if as_json:
        print_json(plant_json(plant))
    else:
        click.echo("\n".join(_page(plant)))


def _page(plant: Plant) -> list[str]:
    from station.domain.cautions import Step, cautions_for
    from station.domain.mix import ratio_text

    facts = (
        ("also", ", ".join(plant.also)),
        ("moisture", f"{plant.moisture}, plant to sugar {ratio_text(plant.ratio)}"),
        ("parts", plant.parts),
        ("picking", plant.picking),
    )
    lines = [f"  {name:<9} {text}" for name, text in facts if text]
    return [plant.name, *lines, "", *cautions_for(Step.PICK, [plant])]


@plants.command()
@click.argument("name")
@click.option("--moisture", type=Word(Moisture), required=True, help="How juicy it is.")
@click.option("--parts", default="", help="What is used of it.")
@click.option("--picking", default="", help="When and how to pick it.")
@click.option("--caution", "cautions", multiple=True, help="What to mind; may be given several times.")
@click.option("--also", multiple=True, help="Another name; may be given several times.")
@json_option
@pass_app
def add(app: App, name: str, *, as_json: bool, **how: Any) -> None:
    """Add a plant of your own, or change it.

    Example: jarside plants add "lemon balm" --moisture dry --parts "tops" --picking "before it flowers"
    """
    from station.domain.plants import own_plant
    from station.store.own_plants import OwnPlants

    plant = own_plant(name, **how)
    with app.notebook() as notebook:
        OwnPlants(notebook).add(plant, now_at=now())
    if as_json:
        print_json(plant_json(plant))
    else:
        click.echo(f"Added {plant.name}.")


@plants.command()
@click.argument("name")
@json_option
@pass_app
def drop(app: App, name: str, *, as_json: bool) -> None:
    """Take a plant of your own off the list; jars of it stay as they are.

    Example: jarside plants drop "lemon balm"
    """
    from station.store.own_plants import OwnPlants

    with app.notebook() as notebook:
        dropped = OwnPlants(notebook).drop(name, now_at=now())
    if as_json:
        print_json({"dropped": dropped})
    else:
        click.echo(f"Dropped {dropped}.")
