"""`jarside trial`: seeds soaked against plain ones."""

import re
from typing import Any

import click

from station.cli.columns import aligned
from station.cli.frame import App, json_option, now, pass_app, print_json
from station.cli.groups import Group
from station.cli.jar_commands import at_option, when
from station.cli.trial_text import trial_json, trial_page, trial_row
from station.cli.words import Id
from station.domain.trials import Arm, Counted, Ended, Sown, Trial, dishes_from
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
    model = Sown("", when(at, app), seeds.strip(), read, control, how["bottle"], how["treatment"], how["note"])
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
@click.argument("counts", nargs=-1, required=True, metavar="ARM[/DISH]=GERMINATED...")
@at_option
@json_option
@pass_app
def count(app: App, name: str, counts: tuple[str, ...], *, at: str | None, as_json: bool) -> None:
    """Record how many had germinated by then, all told; dishes are numbered from 1.

    \b
    Example: jarside trial count beans-1 soaked=14 plain=9
             jarside trial count beans-1 soaked/1=7 soaked/2=8 plain/1=5 plain/2=4
    """
    from station.store.trials import Trials

    counted_at = when(at, app)
    with app.notebook() as notebook:
        trials = Trials(notebook)
        found = trials.trial(name)
        entries = [_count(found, text, Counted(found.id, counted_at, "", 0)) for text in counts]
        found = trials.record(*entries, now_at=now())
    _tell(app, found, as_json=as_json)


def _count(found: Trial, text: str, model: Counted) -> Counted:
    match = re.fullmatch(r"(.+?)(?:/(\d{1,6}))?=(-?\d{1,9})", text.strip())
    if match is None:
        raise JarsideError(f"count {text!r} cannot be read", "Write soaked=14, or soaked/2=7 for the second dish.")
    arm = found.arm(match[1])
    if match[2] is None and len(arm.dishes) > 1:
        raise JarsideError(f"arm {arm.name} has {len(arm.dishes)} dishes", f"Say which: {arm.name}/1={match[3]}.")
    return Counted(model.trial_id, model.at, arm.name, int(match[3]), int(match[2] or 1))


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
        found = trials.record(Ended(trials.trial(name).id, when(at, app), note), now_at=now())
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
