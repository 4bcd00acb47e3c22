"""`jarside jar`: what the grower records of a jar, from packing to straining."""

from typing import Any

import click

from station.cli.columns import aligned
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.jar_text import grave_lines, jar_json, jar_page, jar_row, not_counted, tell_jar
from station.cli.note_command import note
from station.cli.times import at_option, now, said_at
from station.cli.words import Id, Word, volume
from station.domain.collecting import jar_warnings, juice_warning
from station.domain.jars import Discarded, Jar, Judged, Judgement, Strained
from station.domain.packing import Cover, Vessel
from station.domain.preparations import Preparation, recipe
from station.domain.storage import Storage
from station.errors import JarsideError

JUDGEMENTS = {"right": Judgement.RIGHT, "too-early": Judgement.TOO_EARLY, "too-late": Judgement.TOO_LATE}


@click.group(cls=Group)
def jar() -> None:
    """Jars: pack, correct, note, strain, judge, bottle, discard, list, show.

    Example: jarside jar pack comfrey --weight 260g --sugar 260g --jar 2L
    """


jar.add_command(note)


@jar.command()
@click.argument("plant")
@click.option("--weight", metavar="AMOUNT", help="Weight of the plant, such as 260g.")
@click.option("--sugar", metavar="AMOUNT", help="Weight of all the sugar, such as 173g.")
@click.option("--cap", metavar="AMOUNT", help="How much of the sugar lies on top.")
@click.option("--jar", "size", metavar="AMOUNT", help="The jar's volume.  [default: 1L]")
@click.option("--kind", type=Word(Preparation), default="ferment", show_default=True, help="What it is.")
@click.option("--days", type=float, help="How many days it is to stand, if it does not go by warmth.")
@click.option("--where", default="", help="Where the plants were picked.")
@click.option("--vessel", type=Word(Vessel), default="glass", show_default=True, help="What the jar is made of.")
@click.option("--cover", type=Word(Cover), default="cloth", show_default=True, help="What closes it.")
@click.option("--stone-boiled/--stone-not-boiled", "stone", default=None, help="Whether the weight stone was boiled.")
@click.option("--photo", "photos", multiple=True, metavar="PATH", help="A photo; may be given several times.")
@click.option("--probe", default="", help="The name of the probe on it, if it has one.")
@at_option
@json_option
@pass_app
def pack(app: App, plant: str, *, at: str | None, as_json: bool, **how: Any) -> None:
    """Record that a jar was packed; it gets a name such as comfrey-1.

    \b
    Example: jarside jar pack comfrey --weight 260g --sugar 173g --at 2026-05-14T07:00
             jarside jar pack "nettle:200g+clover:60g" --sugar 173g --jar 2L --stone-boiled
             jarside jar pack eggshell --kind vinegar --days 10
    """
    from station.cli.packing import packed_jar, packing_text, warnings_of

    _check_probe(app, how["probe"])
    packed = packed_jar(app, plant, said_at(app, at), **how)
    if as_json:
        found = jar_json(packed, app.shelf().outlook(packed.id), now())
        print_json({**found, "warnings": list(warnings_of(app, packed, how["size"]))})
    else:
        click.echo(packing_text(app, packed, how["size"]))


@jar.command()
@click.argument("name", type=Id("jar"))
@click.option("--plant", help="What is in it.")
@click.option("--weight", metavar="AMOUNT", help="Weight of the plant, such as 260g.")
@click.option("--sugar", metavar="AMOUNT", help="Weight of all the sugar, such as 173g.")
@click.option("--jar", "size", metavar="AMOUNT", help="The jar's volume.")
@json_option
@pass_app
def correct(app: App, name: str, *, as_json: bool, **said: str | None) -> None:
    """Put right what was written down of a packing; the jar keeps its name, and bottles filled from it theirs.

    Example: jarside jar correct comfrey-1 --weight 250g --jar 2L
    """
    from station.cli.packing import contents_text, corrected_jar

    right = corrected_jar(app, name, **said)
    told = f"Corrected {right.id}: {contents_text(app, right)}."
    tell_jar(app, right, "\n".join([told, *(f"! {text}" for text in jar_warnings(right))]), as_json=as_json)


@jar.command()
@click.argument("name", type=Id("jar"))
@click.option("--judge", type=click.Choice(list(JUDGEMENTS)), help="Was it the right time?")
@at_option
@json_option
@pass_app
def strain(app: App, name: str, judge: str | None, at: str | None, *, as_json: bool) -> None:
    """Record that a jar was tipped into the strainer. Let it drip overnight, without squeezing.

    Example: jarside jar strain comfrey-1 --judge right
    """
    with app.notebook() as notebook:
        jar_id, strained_at = notebook.jar(name).id, said_at(app, at)
        strained = notebook.record(Strained(jar_id, strained_at), now_at=now())
        if judge:
            strained = notebook.record(Judged(jar_id, strained_at, JUDGEMENTS[judge]), now_at=now())
    text = f"Strained {strained.id}. {recipe(strained.packing.preparation).straining}"
    tell_jar(app, strained, "\n".join([text, *grave_lines(strained)]), as_json=as_json)


@jar.command()
@click.argument("name", type=Id("jar"))
@click.argument("amounts", nargs=-1, metavar="[AMOUNT]...")
@click.option("--juice", "juice_text", metavar="AMOUNT", help="Juice collected, if it is not the sum of the bottles.")
@click.option("--size", metavar="AMOUNT", help="What each bottle holds to the brim; a third should stay empty.")
@click.option("--storage", type=Word(Storage), default="cool", show_default=True, help="Where the bottles are kept.")
@click.option("--note", default="", help="Anything else.")
@click.option("--anyway", is_flag=True, help="Record it even if it is more than the jar holds.")
@at_option
@json_option
@pass_app
def bottle(app: App, name: str, amounts: tuple[str, ...], *, at: str | None, as_json: bool, **how: Any) -> None:
    """Record that the juice was collected, and the bottles it was filled into: comfrey-1-a, comfrey-1-b.

    Example: jarside jar bottle comfrey-1 200mL 130mL --size 330mL
    """
    from station.cli.bottle_commands import tell_filled
    from station.domain.quantities import volume_ml
    from station.store.bottles import Bottles, Fill

    size_ml = volume_ml(how["size"]) if how["size"] else None
    juice_ml = volume_ml(how["juice_text"]) if how["juice_text"] else None
    fills = [Fill(volume_ml(amount), size_ml) for amount in amounts]
    with app.notebook() as notebook:
        filled = Bottles(notebook).bottle_jar(
            name,
            fills,
            said_at(app, at),
            now_at=now(),
            juice_ml=juice_ml,
            storage=how["storage"],
            note=how["note"],
            anyway=how["anyway"],
        )
        collected = notebook.jar(name)
    if not as_json:
        warned = [f"! {text}" for text in (juice_warning(collected),) if text]
        told = f"Collected {_juice_text(app, collected)} from {collected.id}."
        click.echo("\n".join([told, *warned, *grave_lines(collected)]))
    tell_filled(app, filled, as_json=as_json)


@jar.command()
@click.argument("name", type=Id("jar"))
@click.argument("judgement", type=click.Choice([*JUDGEMENTS, "none"]))
@at_option
@json_option
@pass_app
def judge(app: App, name: str, judgement: str, *, at: str | None, as_json: bool) -> None:
    """Judge the time of straining afterwards, or take a judgement back; jars to come learn from it.

    Example: jarside jar judge comfrey-1 too-late
    """
    with app.notebook() as notebook:
        entry = Judged(notebook.jar(name).id, said_at(app, at), JUDGEMENTS.get(judgement))
        judged = notebook.record(entry, now_at=now())
    tell_jar(app, judged, "\n".join([f"Judged {judged.id}: {judgement}.", *_learned(app, judged)]), as_json=as_json)


@jar.command()
@click.argument("name", type=Id("jar"))
@click.option("--reason", default="", help="Why, such as mould.")
@at_option
@json_option
@pass_app
def discard(app: App, name: str, reason: str, at: str | None, *, as_json: bool) -> None:
    """Record that a whole jar was thrown away. Do not taste a jar with coloured mould or a foul smell.

    Example: jarside jar discard comfrey-1 --reason "fuzzy green mould"
    """
    with app.notebook() as notebook:
        gone = notebook.record(Discarded(notebook.jar(name).id, said_at(app, at), reason), now_at=now())
    tell_jar(app, gone, f"Discarded {gone.id}.", as_json=as_json)


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
        print_json([jar_json(one, outlooks.get(one.id), now()) for one in jars])
    elif not jars:
        click.echo("No jars yet. Record one with: jarside jar pack PLANT")
    else:
        click.echo(aligned(jar_row(one, outlooks.get(one.id), app.zone, now()) for one in jars))


@jar.command()
@click.argument("name", type=Id("jar"))
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
        print_json(jar_json(found, outlook, now()))
    else:
        click.echo("\n".join(jar_page(app, found, outlook, now())))


def _learned(app: App, jar: Jar) -> list[str]:
    """Say what is believed of the plant after a judgement; one of a jar that goes by days teaches nothing."""
    from station.cli.need_commands import need_line

    if jar.due_at is not None:
        return []
    far = [f"It is {text}." for text in not_counted(jar, app.shelf().outlook(jar.id))]
    return [*far, need_line(app, jar.plant)]


def _juice_text(app: App, jar: Jar) -> str:
    return "an unknown amount" if jar.juice_ml is None else volume(app, jar.juice_ml)


def _current(jar: Jar) -> bool:
    return jar.bottled_at is None and jar.discarded_at is None


def _check_probe(app: App, probe: str) -> None:
    probes = app.settings.jar_probes
    if probe and probe not in probes:
        raise JarsideError(
            f"there is no probe {probe!r} in the settings", f"Known probes: {', '.join(probes) or 'none'}."
        )
