"""`jarside feed`: what diluted juice was given to, and what is due."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import click

from station.cli.columns import aligned
from station.cli.feed_text import fed_json, fed_row
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.round_commands import COMMANDS, rule_of
from station.cli.times import at_option, now, said_at
from station.cli.words import Id, Within, Word, rounded, volume
from station.domain.feeding import Fed, Method, Soak, TakenOut, TimeAdvice
from station.domain.rounds import RoundSet
from station.errors import JarsideError

if TYPE_CHECKING:
    from station.domain.dilution import Dilution


@click.group(cls=Group)
def feed() -> None:
    """Feedings: give, take back, list; soak seeds, take them out; rounds that come again: round, due, skip, stop.

    Example: jarside feed due
    """


for of_rounds in COMMANDS:
    feed.add_command(of_rounds)


@feed.command()
@click.argument("bottle", type=Id("bottle"))
@click.option("--method", type=Word(Method), help="How it is given; else as its round says.")
@click.option("--ratio", help="Such as 500, 1:500 or '1 in 500'.  [default: as its round says, else 500]")
@click.option("--water", metavar="AMOUNT", help="Water used; else as its round says.")
@click.option("--juice", metavar="AMOUNT", help="Juice used.")
@click.option("--can", metavar="AMOUNT", help="The whole mix.")
@click.option("--to", "place", default="", help="Which plants, or where.")
@click.option("--round", "round_id", type=Id("round"), default="", help="The round it belongs to.")
@click.option("--until", metavar="TIME", help="When a soak ended.")
@click.option("--note", default="", help="Anything else.")
@click.option("--anyway", is_flag=True, help="Record it even if more is taken than the bottle has left.")
@at_option
@json_option
@pass_app
def give(app: App, bottle: str, *, at: str | None, as_json: bool, anyway: bool, **how: Any) -> None:
    """Record a feeding; the juice is drawn from the bottle. BOTTLE is `none` for juice that is not in the notebook.

    \b
    Example: jarside feed give comfrey-1-a --method leaf-spray --can 5L --to beans
             jarside feed give comfrey-1-a --round beans-1
             jarside feed give none --method drench --juice 20mL --water 10L
    """
    from station.store.feedings import Feedings

    rule = rule_of(app, how["round_id"]) if how["round_id"] else None
    mix = _mix(how["ratio"], how["water"], how["juice"], how["can"], rule)
    given_at = said_at(app, at)
    model = Fed(
        "",
        given_at,
        _method(how["method"], rule),
        mix.juice_ml,
        mix.water_ml,
        how["place"] or (rule.place if rule else ""),
        "" if bottle == "none" else bottle,
        how["round_id"],
        said_at(app, how["until"]) if how["until"] else None,
        how["note"],
    )
    with app.notebook() as notebook:
        fed = Feedings(notebook).feed(model, now_at=now(), anyway=anyway)
    _tell_fed(app, fed, as_json=as_json)


def _method(said: Method | None, rule: RoundSet | None) -> Method:
    if said is not None:
        return said
    if rule is None:
        raise click.UsageError("Missing option '--method'; or name the round it belongs to with '--round'.")
    return rule.method


def _mix(ratio: str | None, water: str | None, juice: str | None, can: str | None, rule: RoundSet | None) -> "Dilution":
    from station.cli.dilute_command import measured
    from station.domain.dilution import USUAL, Measured, Ratio, diluted, dilution_from

    wanted = dilution_from(ratio) if ratio else Ratio(rule.parts) if rule else USUAL
    known = measured(water, juice, can)
    if known == Measured() and rule is not None:
        known = Measured(water_ml=rule.water_ml)
    found = diluted(known, wanted)
    if found is None:
        raise JarsideError("no amount", "Say --can 5L, --water 5L or --juice 10mL.")
    return found[0]


def _tell_fed(app: App, fed: Fed, *, as_json: bool) -> None:
    from station.domain.cautions import Step, cautions_for
    from station.store.bottles import Bottles

    advice = _advice(app, fed.method, fed.at)
    left = None
    if fed.bottle_id:
        with app.notebook() as notebook:
            left = Bottles(notebook).bottle(fed.bottle_id)
    if as_json:
        found = {**fed_json(fed), "time": {"good": advice.good, "text": advice.text}}
        print_json(
            found if left is None else {**found, "left_ml": rounded(left.left_ml), "over_ml": rounded(left.over_ml)}
        )
        return
    click.echo(aligned([fed_row(app, fed)]))
    if left is not None:
        click.echo(f"{left.id} has {volume(app, left.left_ml)} left.")
        if left.over_ml > 1e-6:
            click.echo(f"! {volume(app, left.over_ml)} more were taken out than were written in.")
    click.echo("\n".join([advice.text, *cautions_for(Step.FEED)]))


def _advice(app: App, method: Method, at: datetime) -> TimeAdvice:
    from station.domain.feeding import time_advice
    from station.domain.sun import sun_day

    place = app.settings.place.known
    sun = sun_day(place, at.astimezone(app.zone).date(), app.zone) if place else None
    return time_advice(method, at, app.zone, sun)


@feed.command(name="list")
@json_option
@pass_app
def list_(app: App, *, as_json: bool) -> None:
    """List the feedings, the latest first.

    Example: jarside feed list
    """
    from station.store.feedings import Feedings

    with app.notebook() as notebook:
        feedings = Feedings(notebook).feedings()
    if as_json:
        print_json([fed_json(fed) for fed in feedings])
    elif not feedings:
        click.echo("No feedings yet. Record one with: jarside feed give BOTTLE")
    else:
        click.echo(aligned(fed_row(app, fed) for fed in feedings))


_MINUTES = Within(0, 7 * 24 * 60, min_open=True)
"""Up to a week, longer than any seed is soaked."""


@feed.command()
@click.option("--minutes", type=_MINUTES, default=20.0, show_default=True, help="At least.")
@click.option("--most", type=_MINUTES, default=720.0, show_default=True, help="At most.")
@at_option
@json_option
@pass_app
def soak(app: App, *, minutes: float, most: float, at: str | None, as_json: bool) -> None:
    """Say when soaking seeds may come out, and how they stand now. (Record it with: jarside feed give.)

    Example: jarside feed soak --at 2026-05-14T08:00
    """
    from station.domain.feeding import soak_from

    found = soak_from(said_at(app, at), timedelta(minutes=minutes), timedelta(minutes=most))
    state = found.state(now())
    if as_json:
        print_json(
            {"from_at": found.from_at, "ready_at": found.ready_at, "latest_at": found.latest_at, "state": str(state)}
        )
    else:
        click.echo(_soak_text(app, found))
        click.echo(f"Now: {state}.")


def _soak_text(app: App, found: Soak) -> str:
    from station.domain.moments import moment_text

    times = [moment_text(at, app.zone) for at in (found.from_at, found.ready_at, found.latest_at)]
    return f"In at {times[0]}; out from {times[1]}, at the latest {times[2]}."


@feed.command()
@click.argument("name", type=Id("feeding"))
@at_option
@json_option
@pass_app
def out(app: App, name: str, *, at: str | None, as_json: bool) -> None:
    """Record that soaking seeds were taken out; NAME is that of the feeding.

    Example: jarside feed out feed-3
    """
    from station.store.feedings import Feedings

    with app.notebook() as notebook:
        fed = Feedings(notebook).take_out(TakenOut(name, said_at(app, at)), now_at=now())
    if as_json:
        print_json(fed_json(fed))
    else:
        click.echo(aligned([fed_row(app, fed)]))


@feed.command(name="take-back")
@click.argument("name", type=Id("feeding"))
@json_option
@pass_app
def take_back(app: App, name: str, *, as_json: bool) -> None:
    """Take a feeding back that was none, or typed wrong: its juice is in its bottle again.

    Example: jarside feed take-back feed-3
    """
    from station.store.bottles import Bottles
    from station.store.feedings import Feedings

    with app.notebook() as notebook:
        fed = Feedings(notebook).take_back(name, now_at=now())
        left = Bottles(notebook).bottle(fed.bottle_id) if fed.bottle_id else None
    if as_json:
        print_json(fed_json(fed) if left is None else {**fed_json(fed), "left_ml": rounded(left.left_ml)})
        return
    click.echo(f"Took back {aligned([fed_row(app, fed)])}")
    if left is not None:
        click.echo(f"{left.id} has {volume(app, left.left_ml)} left.")
