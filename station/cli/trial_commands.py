"""`jarside trial`: seeds soaked against plain ones."""

import re
from datetime import datetime
from typing import Any

import click

from station.cli.columns import aligned
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import at_option, now, said_at
from station.cli.trial_text import counts_text, trial_json, trial_page, trial_row
from station.cli.words import Id
from station.domain.trials import Arm, Counted, CountTakenBack, Ended, Sown, Trial, dishes_from
from station.errors import JarsideError


@click.group(cls=Group)
def trial() -> None:
    """Trials: sow, count, end, list, show; plan how many seeds are needed.

    Example: jarside trial list
    """


@trial.command()
@click.argument("seeds")
@click.option(
    "--arm",
    "arms",
    multiple=True,
    required=True,
    metavar="NAME:SEEDS",
    help="One way of treating them, with the seeds in each dish: soaked:20 or soaked:10,10,10. At least two.",
)
@click.option("--control", default="", help="The arm to compare with; else plain, water or control, else the last.")
@click.option("--bottle", type=Id("bottle"), default="", help="The juice used.")
@click.option("--treatment", default="", help='How they were treated, such as "1 to 500, 20 minutes".')
@click.option("--note", default="", help="Anything else.")
@at_option
@json_option
@pass_app
def sow(app: App, seeds: str, arms: tuple[str, ...], *, at: str | None, as_json: bool, **how: Any) -> None:
    """Record a trial that was sown; it gets a name such as beans-1.

    Example: jarside trial sow beans --arm soaked:20,20 --arm plain:20,20 --treatment "1 to 500, 20 minutes"
    """
    from station.domain.trials import control_among
    from station.store.trials import Trials

    if not seeds.strip():
        raise JarsideError("the seeds are empty", "Name them: jarside trial sow beans --arm soaked:20 --arm plain:20.")
    read = tuple(_arm(text) for text in arms)
    control = how["control"] or control_among(read)
    model = Sown("", said_at(app, at), seeds.strip(), read, control, how["bottle"], how["treatment"], how["note"])
    with app.notebook() as notebook:
        sown = Trials(notebook).sow(model, now_at=now())
    _tell(app, sown, as_json=as_json)


def _arm(text: str) -> Arm:
    name, _, dishes = text.rpartition(":")
    if not name.strip():
        raise JarsideError(f"arm {text!r} cannot be read", "Write a name and the seeds in each dish: soaked:20,20.")
    return Arm(name.strip(), dishes_from(dishes))


@trial.command()
@click.argument("name", type=Id("trial"))
@click.argument("counts", nargs=-1, metavar="ARM[/DISH]=GERMINATED...")
@click.option("--take-back", is_flag=True, help="The last count was a slip: it counts no more.")
@at_option
@json_option
@pass_app
def count(app: App, name: str, counts: tuple[str, ...], *, take_back: bool, at: str | None, as_json: bool) -> None:
    """Record how many had germinated by then, all told; dishes are numbered from 1.

    \b
    Example: jarside trial count beans-1 soaked=14 plain=9
             jarside trial count beans-1 soaked/1=7 soaked/2=8 plain/1=5 plain/2=4
             jarside trial count beans-1 soaked:7,8 plain:5,4
             jarside trial count beans-1 --take-back
    """
    from station.store.trials import Trials

    if take_back and (counts or at):
        raise JarsideError("--take-back stands beside a new count", "Take back first, then count anew.")
    if not take_back and not counts:
        raise click.UsageError("Missing argument 'ARM[/DISH]=GERMINATED...'.")
    counted_at = said_at(app, at)
    with app.notebook() as notebook:
        trials = Trials(notebook)
        found = trials.trial(name)
        gone = _last(found) if take_back else ()
        entries = [one for text in counts for one in _counts(found, text, counted_at)]
        taken_back = [CountTakenBack(found.id, now(), one.at) for one in gone[:1]]
        found = trials.record(*entries, *taken_back, now_at=now())
    if gone and not as_json:
        click.echo(f"Took back the count of {counts_text(found, gone, app.zone)}")
    _tell(app, found, as_json=as_json)


def _last(found: Trial) -> tuple[Counted, ...]:
    if not found.last_counts:
        raise JarsideError(f"trial {found.id} has no count", f"Count: jarside trial count {found.id} soaked=14 plain=9")
    return found.last_counts


_COUNT = re.compile(r"(.+?)(?:/(\d{1,6}))?[=:](-?\d{1,9}(?:,-?\d{1,9})*)")


def _counts(found: Trial, text: str, at: datetime) -> list[Counted]:
    """Read `soaked=14`, `soaked/2=7` for one of several dishes, or `soaked:7,8` for all of them."""
    match = _COUNT.fullmatch(text.strip())
    if match is None:
        raise JarsideError(f"count {text!r} cannot be read", "Write soaked=14; of two dishes soaked:7,8 or soaked/2=7.")
    arm, numbers = found.arm(match[1]), [int(number) for number in match[3].split(",")]
    if len(numbers) != (1 if match[2] else len(arm.dishes)):
        raise JarsideError(
            f"count {text!r}: arm {arm.name} has {len(arm.dishes)} dish{'es' if arm.dishes[1:] else ''}",
            f"Count one, {arm.name}/1={numbers[0]}, or each: {arm.name}:{','.join(map(str, arm.dishes))}.",
        )
    first = int(match[2] or 1)
    return [Counted(found.id, at, arm.name, number, dish) for dish, number in enumerate(numbers, first)]


@trial.command()
@click.argument("name", type=Id("trial"))
@click.option("--note", default="", help="Anything else.")
@at_option
@json_option
@pass_app
def end(app: App, name: str, *, note: str, at: str | None, as_json: bool) -> None:
    """Record that no more counts are to come.

    Example: jarside trial end beans-1
    """
    from station.store.trials import Trials

    with app.notebook() as notebook:
        trials = Trials(notebook)
        found = trials.record(Ended(trials.trial(name).id, said_at(app, at), note), now_at=now())
    _tell(app, found, as_json=as_json)


@trial.command(name="list")
@json_option
@pass_app
def list_(app: App, *, as_json: bool) -> None:
    """List the trials.

    Example: jarside trial list
    """
    from station.store.trials import Trials

    with app.notebook() as notebook:
        trials = Trials(notebook).trials()
    if as_json:
        print_json([trial_json(one) for one in trials])
    elif not trials:
        click.echo("No trials yet. Begin one with: jarside trial sow beans --arm soaked:20 --arm plain:20")
    else:
        click.echo(aligned(trial_row(one, app.zone) for one in trials))


@trial.command()
@click.argument("name", type=Id("trial"))
@json_option
@pass_app
def show(app: App, name: str, *, as_json: bool) -> None:
    """Show what a trial has shown so far, and what it cannot show.

    Example: jarside trial show beans-1
    """
    from station.store.trials import Trials

    with app.notebook() as notebook:
        found = Trials(notebook).trial(name)
    _tell(app, found, as_json=as_json)


def _tell(app: App, found: Trial, *, as_json: bool) -> None:
    if as_json:
        print_json(trial_json(found))
    else:
        click.echo("\n".join(trial_page(found, app.zone)))


@trial.command()
@click.option("--plain", "share", default="65%", show_default=True, help="What plain seeds do.")
@click.option("--points", default="20", show_default=True, help="The difference to be seen, in points of 100.")
@json_option
def plan(share: str, points: str, *, as_json: bool) -> None:
    """Say how many seeds each arm needs to see a difference, four times in five.

    Example: jarside trial plan --plain 65% --points 20
    """
    from station.domain.power import percent_from, plan_for

    found = plan_for(percent_from(share), percent_from(points))
    if as_json:
        print_json(
            {
                "needed": found.needed,
                "exact": round(found.exact, 2),
                "from": found.first,
                "to": round(found.second, 6),
            }
        )
    else:
        click.echo(str(found))
