"""`jarside need`: how many warm-days each plant takes, where the number comes from, and how to set it right."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import now

if TYPE_CHECKING:
    from station.domain.need_words import JudgedLine
    from station.domain.needs import Needs, PlantNeed
    from station.domain.warmth import JarHeat


@click.group(cls=Group)
def need() -> None:
    """Needs: how many warm-days a plant takes; learned from judged jars, or set by you."""


@need.command(name="list")
@json_option
@pass_app
def list_(app: App, *, as_json: bool) -> None:
    """List the plants you have jars of, or have set a need for, with what is believed of each and why.

    Example: jarside need list
    """
    with app.notebook() as notebook:
        said, jars = notebook.needs(), notebook.jars()
    from station.domain.needs import plant_key

    heats = _heats(app)
    mine = {plant_key(jar.plant) for jar in jars if jar.due_at is None}
    plants = sorted({*said.plants(), *mine})
    if as_json:
        print_json([_need_json(app, plant, said, heats) for plant in plants])
    elif not plants:
        click.echo("No jars yet. Record one with: jarside jar pack PLANT")
    else:
        width = max(map(len, plants))
        click.echo("\n".join(f"{plant:<{width}}  {_text(app, plant, said, heats)}" for plant in plants))


@need.command()
@click.argument("plant")
@json_option
@pass_app
def show(app: App, plant: str, *, as_json: bool) -> None:
    """Show what is believed of a plant, and every judged jar that it comes from.

    Example: jarside need show comfrey
    """
    from station.domain.need_words import judged_lines

    key = _known(app, plant)
    with app.notebook() as notebook:
        said = notebook.needs()
    heats = _heats(app)
    if as_json:
        print_json(_need_json(app, key, said, heats))
    else:
        lines = [_jar_line(app, line) for line in judged_lines(key, said, heats, app.settings.strain.base_c)]
        click.echo(
            "\n".join([f"{key}: {_text(app, key, said, heats)}.", *_next_jar(_need(app, key, said, heats)), *lines])
        )


@need.command(name="set")
@click.argument("plant")
@click.argument("warm_days", type=float)
@json_option
@pass_app
def set_(app: App, plant: str, warm_days: float, *, as_json: bool) -> None:
    """Set a plant's need in warm-days: days at 20 °C. From then on only its own jars, judged later, move it.

    Example: jarside need set comfrey 4.5
    """
    from station.store.needs import HandSetNeeds

    key = _known(app, plant)
    with app.notebook() as notebook:
        HandSetNeeds(notebook).set_to(key, warm_days, now_at=now())
        said = notebook.needs()
    _tell(app, key, said, f"Set {key} to {warm_days:g} warm-days.", as_json=as_json)


@need.command()
@click.argument("plant", required=False)
@click.option("--take-back", is_flag=True, help="The latest reset was a mistake: what it forgot counts again.")
@json_option
@pass_app
def reset(app: App, plant: str | None, *, take_back: bool, as_json: bool) -> None:
    """Forget what was learned and set up to now: of one plant, or without a name of all. Your records stay.

    Example: jarside need reset comfrey
    """
    from station.domain.moments import moment_text
    from station.domain.needs import EVERY
    from station.store.needs import HandSetNeeds

    key = EVERY if plant is None else _known(app, plant)
    name = "every plant" if plant is None else key
    with app.notebook() as notebook:
        needs = HandSetNeeds(notebook)
        if take_back:
            reset_at = moment_text(needs.take_back_reset(key, now_at=now()), app.zone)
            text = f"Took back the reset of {name} of {reset_at}; what it forgot counts again."
        else:
            needs.reset(key, now_at=now())
            text = f"Forgot what was learned of {name}; the jars' records stay."
        said = notebook.needs()
    if plant is not None:
        _tell(app, key, said, text, as_json=as_json)
    elif as_json:
        heats = _heats(app)
        print_json([_need_json(app, one, said, heats) for one in said.plants()])
    else:
        click.echo(text)


def need_line(app: App, plant: str) -> str:
    """Return what is believed of a plant now, in a line, for a command that has just changed it."""
    from station.domain.needs import plant_key

    with app.notebook() as notebook:
        said = notebook.needs()
    key = plant_key(plant)
    return f"{key}: {_text(app, key, said, _heats(app))}."


def _known(app: App, plant: str) -> str:
    """Return the plant as needs know it.

    Raises:
        NotebookError: there is neither such a plant nor a jar of it.
    """
    from station.cli.mixing import own_plants
    from station.domain.needs import plant_key
    from station.domain.plants import find_plant, plant_named

    with app.notebook() as notebook:
        jars = {plant_key(jar.plant) for jar in notebook.jars()}
    own = own_plants(app)
    if find_plant(plant, own) is None and plant_key(plant) in jars:
        return plant_key(plant)
    return plant_key(plant_named(plant, own).name)


def _heats(app: App) -> "dict[str, JarHeat]":
    return {outlook.jar_id: outlook.heat for outlook in app.shelf().outlooks()}


def _need(app: App, plant: str, said: "Needs", heats: "Mapping[str, JarHeat]") -> "PlantNeed":
    from station.domain.needs import plant_need

    return plant_need(plant, said, heats, app.settings.strain.beginning())


def _text(app: App, plant: str, said: "Needs", heats: "Mapping[str, JarHeat]") -> str:
    from station.domain.need_words import need_text

    return need_text(_need(app, plant, said, heats), app.zone)


def _next_jar(found: "PlantNeed") -> list[str]:
    low, high = found.next_jar.low, found.next_jar.high
    return [f"  Of five jars to come, four should need between {low:.1f} and {high:.1f} warm-days."]


def _jar_line(app: App, line: "JudgedLine") -> str:
    from station.domain.moments import day_text

    assert line.jar.strained_at is not None  # noqa: S101 - only strained jars are judged
    warmth = "" if line.warm_days is None else f"at {line.warm_days:.1f} warm-days, "
    left_out = f"; not counted: {line.left_out}" if line.left_out else ""
    strained = day_text(line.jar.strained_at, app.zone)
    return f"  {line.jar.id:<16} strained {strained}, {warmth}{line.jar.judgement}{left_out}"


def _tell(app: App, plant: str, said: "Needs", text: str, *, as_json: bool) -> None:
    heats = _heats(app)
    if as_json:
        print_json(_need_json(app, plant, said, heats))
    else:
        click.echo(f"{text}\n{plant}: {_text(app, plant, said, heats)}.")


def _need_json(app: App, plant: str, said: "Needs", heats: "Mapping[str, JarHeat]") -> dict[str, Any]:
    from station.domain.need_words import judged_lines, need_text

    found = _need(app, plant, said, heats)
    told, by_hand = found.explained, found.by_hand
    return {
        "plant": plant,
        "warm_days": round(told.need_warm_days, 3),
        "give_or_take": round(told.give_or_take, 3),
        "own_jars": told.own_jars,
        "other_jars": told.other_jars,
        "next_jar": {
            "low": round(found.next_jar.low, 3),
            "likely": round(found.next_jar.median, 3),
            "high": round(found.next_jar.high, 3),
        },
        "set": None if by_hand is None else {"warm_days": by_hand.warm_days, "at": by_hand.at},
        "reset_at": said.reset_at(plant),
        "jars": [_line_json(line) for line in judged_lines(plant, said, heats, app.settings.strain.base_c)],
        "text": need_text(found, app.zone),
    }


def _line_json(line: "JudgedLine") -> dict[str, Any]:
    return {
        "id": line.jar.id,
        "strained_at": line.jar.strained_at,
        "warm_days": None if line.warm_days is None else round(line.warm_days, 3),
        "judgement": str(line.jar.judgement),
        "left_out": line.left_out or None,
    }
