"""`jarside mix`: how much sugar, which jar."""

from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.words import Word, measures_of, rounded
from station.domain.plants import Moisture

if TYPE_CHECKING:
    from station.domain.batch import Batch


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
        print_json(_mix_json(found, said["moisture"]))
    else:
        click.echo("\n".join(_lines(app, found, said["moisture"])))


def _mix_json(found: "Batch", said: Moisture | None) -> dict[str, Any]:
    from station.domain.batch import most_juice_ml
    from station.domain.packing import ratio_warning

    mix = found.mix
    amounts = {name: rounded(getattr(mix, name)) for name in ("plant_g", "sugar_g", "cap_g", "jar_ml")}
    return {
        **amounts,
        "ratio": rounded(mix.ratio, 4),
        "jars": found.jars,
        "most_juice_ml": rounded(most_juice_ml(found, said)),
        "warnings": [text for text in (ratio_warning(mix.ratio),) if text],
    }


def _lines(app: App, found: "Batch", said: Moisture | None) -> list[str]:
    from station.domain.batch import batch_lines
    from station.domain.cautions import Step, cautions_for
    from station.domain.mix import RATIOS_DIFFER
    from station.domain.packing import ratio_warning

    warning = ratio_warning(found.mix.ratio)
    lines = [f"{name:<8}{text}" for name, text in batch_lines(found, said, measures_of(app))]
    return [*lines, *([f"! {warning}"] if warning else []), "", RATIOS_DIFFER, *cautions_for(Step.PACK, found.plants)]
