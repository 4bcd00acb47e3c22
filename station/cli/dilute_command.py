"""`jarside dilute`: how much juice for this can, how far this juice goes, how strong this can is."""

import math
from typing import Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.words import measures_of, rounded, volume
from station.domain.dilution import Cans, Dilution, Measured, Ratio
from station.errors import JarsideError


@click.command()
@click.option("--ratio", default="500", show_default=True, help="Such as 500, 1:500 or '1 in 500'.")
@click.option("--water", metavar="AMOUNT", help="Water to be used.")
@click.option("--juice", metavar="AMOUNT", help="Juice to be used; with --water: how strong is that?")
@click.option("--can", metavar="AMOUNT", help="A can to be filled; with --water or --juice: how many cans?")
@json_option
@pass_app
def dilute(app: App, ratio: str, water: str | None, juice: str | None, can: str | None, *, as_json: bool) -> None:
    """Work out juice and water for a dilution. "1 to 500" counts the water, "1 in 500" the whole mix.

    \b
    Example: jarside dilute --ratio 500 --water 10L
             jarside dilute --juice 1qt
             jarside dilute --can 9L --ratio "1 in 500"
             jarside dilute --juice 20mL --water 5L      (how strong is this can?)
    """
    from station.domain.dilution import dilution_from

    wanted = dilution_from(ratio)
    mix, cans = _mixed(wanted, water, juice, can)
    if as_json:
        print_json(_dilution_json(mix, wanted, cans))
    else:
        click.echo("\n".join(_lines(app, mix, wanted, cans, mixed_already=bool(water and juice))))


def _mixed(ratio: Ratio, water: str | None, juice: str | None, can: str | None) -> tuple[Dilution, Cans | None]:
    from station.domain.dilution import diluted

    found = diluted(measured(water, juice, can), ratio)
    if found is None:
        raise JarsideError("no amount", "Say --water 10L, --juice 20mL or --can 9L.")
    return found


def measured(water: str | None, juice: str | None, can: str | None) -> Measured:
    """Return what was said of a can."""
    from station.domain.quantities import volume_ml

    known = [volume_ml(text) if text else None for text in (water, juice, can)]
    return Measured(*known)


def _dilution_json(mix: Dilution, wanted: Ratio, cans: Cans | None) -> dict[str, Any]:
    from station.domain.dilution import drops, thinned_to

    return {
        "ratio": None if math.isinf(mix.ratio) else rounded(mix.ratio),
        "juice_ml": rounded(mix.juice_ml, 4),
        "water_ml": rounded(mix.water_ml, 3),
        "can_ml": rounded(mix.can_ml, 3),
        "drops": drops(mix.juice_ml),
        "water_to_add_ml": rounded(thinned_to(mix, wanted), 3),
        "cans": None if cans is None else _cans_json(cans),
    }


def _cans_json(cans: Cans) -> dict[str, Any]:
    last = cans.last
    return {
        "full": cans.full,
        "juice_ml_each": rounded(cans.each.juice_ml, 4),
        "last_juice_ml": None if last is None else rounded(last.juice_ml, 4),
        "last_can_ml": None if last is None else rounded(last.can_ml),
    }


def _lines(app: App, mix: Dilution, wanted: Ratio, cans: Cans | None, *, mixed_already: bool) -> list[str]:
    from station.domain.cautions import Step, cautions_for
    from station.domain.dilution import RATIOS_DIFFER, juice_text, strength_note

    lines = [f"juice   {juice_text(mix.juice_ml, measures_of(app))}", f"water   {volume(app, mix.water_ml)}"]
    lines += _strength(app, mix, wanted) if mixed_already else [f"ratio   {wanted}{_other_way(wanted)}"]
    lines += _cans_lines(app, cans) if cans else []
    notes = (strength_note(mix.ratio), RATIOS_DIFFER, *cautions_for(Step.DILUTE))
    return [*lines, "", *(note for note in notes if note)]


def _other_way(wanted: Ratio) -> str:
    """Say what "1 in" comes to in parts of water: the two are easily taken for each other."""
    return f" of the mix, which is {Ratio(wanted.water_parts)} of water" if wanted.in_whole else " of water"


def _strength(app: App, mix: Dilution, wanted: Ratio) -> list[str]:
    from station.domain.dilution import thinned_to

    more_ml = thinned_to(mix, wanted)
    lines = [f"ratio   {Ratio(mix.ratio)}"]
    return [*lines, f"add     {volume(app, more_ml)} of water for {wanted}"] if more_ml else lines


def _cans_lines(app: App, cans: Cans) -> list[str]:
    from station.domain.dilution import juice_text

    lines, measures = [], measures_of(app)
    if cans.full:
        each = juice_text(cans.each.juice_ml, measures)
        lines.append(f"cans    {cans.full}, each {volume(app, cans.each.can_ml)} with {each}")
    if cans.last is not None:
        lines.append(f"last    {volume(app, cans.last.can_ml)} with {juice_text(cans.last.juice_ml, measures)}")
    return lines
