"""`jarside mix`: how much sugar, which jar."""

from typing import Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.words import Word, rounded, volume, weight
from station.domain.mix import Mix
from station.domain.plants import Moisture, Plant


@click.command()
@click.argument("plant", required=False, default="")
@click.option("--weight", "plant_text", metavar="AMOUNT", help="Weight of the plant, such as 260g or 9oz.")
@click.option("--jar", "jar_text", metavar="AMOUNT", help="A jar to fill, or with --weight the size of your jars.")
@click.option("--sugar", "sugar_text", metavar="AMOUNT", help="The sugar you have.")
@click.option("--ratio", "ratio_text", metavar="PLANT:SUGAR", help="Plant to sugar by weight, such as 3:2.")
@click.option("--moisture", type=Word(Moisture), help="How juicy the plant is, if it is not known here.")
@click.option("--times", type=float, default=1.0, help="So many times the batch.")
@json_option
@pass_app
def mix(app: App, plant: str, *, as_json: bool, times: float, **said: Any) -> None:
    """Work out the sugar, the sugar cap and the jar for a plant, a blend (nettle:200g+clover:60g) or a jar to fill.

    \b
    Example: jarside mix comfrey --weight 260g
             jarside mix --jar 2L --moisture dry
             jarside mix "nettle:200g+clover:60g" --jar 1L
    """
    from station.cli.mixing import asked

    found = asked(app, plant, times=times, **said)
    if as_json:
        print_json(_mix_json(found.mix, found.jars))
    else:
        click.echo("\n".join(_lines(app, found.mix, found.jars, found.jar_ml, found.plants)))


def _mix_json(mix: Mix, jars: int | None) -> dict[str, Any]:
    amounts = {name: rounded(getattr(mix, name)) for name in ("plant_g", "sugar_g", "cap_g", "jar_ml")}
    return {**amounts, "ratio": rounded(mix.ratio, 4), "jars": jars}


def _lines(app: App, mix: Mix, jars: int | None, jar_ml: float | None, plants: tuple[Plant, ...]) -> list[str]:
    from station.domain.cautions import Step, cautions_for
    from station.domain.mix import RATIOS_DIFFER, expected_juice_ml, ratio_text

    moisture = plants[0].moisture if plants else Moisture.MEDIUM
    lines = [
        f"plant   {weight(app, mix.plant_g)}",
        f"sugar   {weight(app, mix.sugar_g)}, plant to sugar {ratio_text(mix.ratio)}",
        f"cap     {weight(app, mix.cap_g)} of the sugar kept back to close the top",
        f"jar     {volume(app, mix.jar_ml)}, a third of it left empty",
    ]
    if jars is not None and jar_ml is not None:
        lines.append(f"jars    {jars} of {volume(app, jar_ml)}")
    lines.append(f"juice   {volume(app, expected_juice_ml(mix, moisture))} at the very most")
    return [*lines, "", RATIOS_DIFFER, *cautions_for(Step.PACK, plants)]
