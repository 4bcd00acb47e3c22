"""The rounds of `jarside feed`: feedings that come again, and when each is due."""

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

import click

from station.cli.columns import aligned
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.times import at_option, now, said_at
from station.cli.words import Id, Word
from station.domain.dates import day_from
from station.domain.feeding import Method
from station.domain.rounds import Due, Round, RoundEntry, RoundSet, Skipped, Stopped, days_from
from station.errors import JarsideError

if TYPE_CHECKING:
    from station.store.notebook import Notebook


@click.command(name="round")
@click.option("--method", type=Word(Method), help="How it is given.  [default: leaf-spray]")
@click.option("--to", "place", help="Which plants, or where.")
@click.option("--every", metavar="DAYS", help="Days from one to the next.  [default: 7-10]")
@click.option("--ratio", help="Such as 500, 1:500 or '1 in 500'.  [default: 500]")
@click.option("--water", metavar="AMOUNT", help="Water each time.")
@click.option("--first", metavar="DATE", help="The first day, such as 2026-05-14; else today.")
@click.option("--change", "round_id", type=Id("round"), default="", help="Change what is said of this round instead.")
@click.option("--note", help="Anything else.")
@at_option
@json_option
@pass_app
def round_(app: App, *, at: str | None, as_json: bool, **how: Any) -> None:
    """Set up a round: a feeding that comes again every few days.

    \b
    Example: jarside feed round --method leaf-spray --to beans --every 7-10 --water 5L
             jarside feed round --change beans-1 --every 5
    """
    from station.store.rounds import Rounds

    if not how["place"] and not how["round_id"]:
        raise JarsideError("a round of nothing", "Say which plants or where it is given: --to beans.")
    model = _round_set(app, said_at(app, at), **how)
    with app.notebook() as notebook:
        made = Rounds(notebook).set_up(model, now_at=now())
        found = _with_feedings(notebook, made)
    _tell_rounds(app, [found], as_json=as_json, single=True)


def rule_of(app: App, round_id: str) -> RoundSet:
    """Return what a round says of each of its feedings."""
    from station.store.rounds import Rounds

    with app.notebook() as notebook:
        rounds = Rounds(notebook)
        name = rounds.name_of(round_id)
        return next(one.rule for one in rounds.rounds(()) if one.id == name)


def _round_set(app: App, at: datetime, *, round_id: str, every: str | None, ratio: str | None, **how: Any) -> RoundSet:
    """Return what was said of a round; of one that is changed, what was not said stays."""
    from station.domain.dilution import dilution_from
    from station.domain.quantities import volume_ml

    rule = rule_of(app, round_id) if round_id else RoundSet("", at, Method.LEAF_SPRAY)
    least, most = days_from(every) if every else (rule.least_days, rule.most_days)
    return replace(
        rule,
        at=at,
        method=how["method"] or rule.method,
        place=rule.place if how["place"] is None else how["place"],
        least_days=least,
        most_days=most,
        parts=dilution_from(ratio).water_parts if ratio else rule.parts,
        water_ml=volume_ml(how["water"]) if how["water"] else rule.water_ml,
        first_on=day_from(how["first"]) if how["first"] else rule.first_on,
        note=rule.note if how["note"] is None else how["note"],
    )


@click.command()
@click.option("--all", "everything", is_flag=True, help="Also rounds that have stopped.")
@json_option
@pass_app
def due(app: App, *, everything: bool, as_json: bool) -> None:
    """List the rounds, and when each is due.

    Example: jarside feed due
    """
    from station.store.feedings import Feedings
    from station.store.rounds import Rounds

    with app.notebook() as notebook:
        rounds = Rounds(notebook).rounds(Feedings(notebook).feedings())
    _tell_rounds(app, [one for one in rounds if everything or one.stopped_at is None], as_json=as_json)


def _tell_rounds(app: App, rounds: list[Round], *, as_json: bool, single: bool = False) -> None:
    from station.domain.rounds import due as due_of
    from station.domain.rounds import due_text

    today = now().astimezone(app.zone).date()
    found = sorted(((due_of(one, today, app.zone), one) for one in rounds), key=lambda pair: pair[0].from_on)
    if as_json:
        rows = [_due_json(one, its_round) for one, its_round in found]
        print_json(rows[0] if single else rows)
    elif not found:
        click.echo("No rounds. Set one up with: jarside feed round --to beans")
    else:
        click.echo(aligned((one.round_id, due_text(one, its_round)) for one, its_round in found))


def _due_json(one: Due, found: Round) -> dict[str, Any]:
    return {
        "id": one.round_id,
        "method": str(found.rule.method),
        "to": found.rule.place or None,
        "standing": str(one.standing),
        "from": one.from_on.isoformat(),
        "until": one.until_on.isoformat(),
        "ratio": found.rule.parts,
        "water_ml": found.rule.water_ml,
        "done_at": list(found.done_at),
        "skipped_at": list(found.skipped_at),
    }


@click.command()
@click.argument("name", type=Id("round"))
@click.option("--reason", default="", help="Rain, or whatever it was.")
@at_option
@json_option
@pass_app
def skip(app: App, name: str, *, reason: str, at: str | None, as_json: bool) -> None:
    """Record that a feeding of a round was left out; the next one counts from then.

    Example: jarside feed skip beans-1 --reason rain
    """
    _record(app, name, Skipped("", said_at(app, at), reason), as_json=as_json)


@click.command()
@click.argument("name", type=Id("round"))
@click.option("--reason", default="", help="Why.")
@at_option
@json_option
@pass_app
def stop(app: App, name: str, *, reason: str, at: str | None, as_json: bool) -> None:
    """End a round.

    Example: jarside feed stop beans-1
    """
    _record(app, name, Stopped("", said_at(app, at), reason), as_json=as_json)


def _record(app: App, name: str, entry: RoundEntry, *, as_json: bool) -> None:
    from station.store.rounds import Rounds

    with app.notebook() as notebook:
        rounds = Rounds(notebook)
        changed = rounds.record(replace(entry, round_id=rounds.name_of(name)), now_at=now())
        found = _with_feedings(notebook, changed)
    _tell_rounds(app, [found], as_json=as_json, single=True)


def _with_feedings(notebook: "Notebook", kept: Round) -> Round:
    """Return a round with what was done of it: writing gives back only what was said of it."""
    from station.store.feedings import Feedings
    from station.store.rounds import Rounds

    return next(one for one in Rounds(notebook).rounds(Feedings(notebook).feedings()) if one.id == kept.id)


COMMANDS = (round_, due, skip, stop)
"""What `jarside feed` has of rounds."""
