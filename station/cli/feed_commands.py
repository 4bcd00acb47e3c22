"""`jarside feed`: what diluted juice was given to, and what is due."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import click

from station.cli.columns import aligned
from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import at_option, now, said_at
from station.cli.words import Id, Word, measures_of, rounded, volume
from station.domain.dates import day_from
from station.domain.feeding import Fed, Method, Soak, TakenOut, TimeAdvice
from station.domain.rounds import Due, Round, RoundEntry, RoundSet, Skipped, Stopped, days_from
from station.errors import JarsideError

if TYPE_CHECKING:
    from station.domain.dilution import Dilution


@click.group(cls=Group)
def feed() -> None:
    """Feedings: give, take back, list; soak seeds, take them out; rounds that come again: round, due, skip, stop.

    Example: jarside feed due
    """


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

    rule = _rule(app, how["round_id"]) if how["round_id"] else None
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


def _rule(app: App, round_id: str) -> RoundSet:
    """Return what a round says of each of its feedings."""
    from station.store.rounds import Rounds

    with app.notebook() as notebook:
        rounds = Rounds(notebook)
        name = rounds.name_of(round_id)
        return next(one.rule for one in rounds.rounds(()) if one.id == name)


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


def fed_json(fed: Fed) -> dict[str, Any]:
    """Return a feeding for programs: volumes in mL, ratio in parts of water to one of juice."""
    return {
        "id": fed.feeding_id,
        "at": fed.at,
        "method": str(fed.method),
        "juice_ml": rounded(fed.juice_ml, 4),
        "water_ml": rounded(fed.water_ml),
        "ratio": rounded(fed.ratio),
        "to": fed.place or None,
        "bottle": fed.bottle_id or None,
        "round": fed.round_id or None,
        "until_at": fed.until_at,
        "note": fed.note or None,
    }


def fed_row(app: App, fed: Fed) -> tuple[str, ...]:
    """Return a feeding as a row."""
    from station.domain.dilution import Dilution, mixture_text
    from station.domain.sentences import clock_text, moment_text

    time = moment_text(fed.at, app.zone) + (f" to {clock_text(fed.until_at, app.zone)}" if fed.until_at else "")
    what = mixture_text(Dilution(fed.juice_ml, fed.water_ml), measures_of(app))
    source = f"from {fed.bottle_id}" if fed.bottle_id else ""
    return fed.feeding_id, time, fed.method, fed.place, what, source, fed.note


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


@feed.command()
@click.option(
    "--minutes", type=click.FloatRange(min=0, min_open=True), default=20.0, show_default=True, help="At least."
)
@click.option("--most", type=click.FloatRange(min=0, min_open=True), default=720.0, show_default=True, help="At most.")
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
    from station.domain.sentences import moment_text

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


@feed.command(name="round")
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
    from station.store.feedings import Feedings
    from station.store.rounds import Rounds

    if not how["place"] and not how["round_id"]:
        raise JarsideError("a round of nothing", "Say which plants or where it is given: --to beans.")
    model = _round_set(app, said_at(app, at), **how)
    with app.notebook() as notebook:
        made = Rounds(notebook).set_up(model, now_at=now())
        feedings = Feedings(notebook).feedings()
        found = next(one for one in Rounds(notebook).rounds(feedings) if one.id == made.id)
    _tell_rounds(app, [found], as_json=as_json, single=True)


def _round_set(app: App, at: datetime, *, round_id: str, every: str | None, ratio: str | None, **how: Any) -> RoundSet:
    """Return what was said of a round; of one that is changed, what was not said stays."""
    from station.domain.dilution import dilution_from
    from station.domain.quantities import volume_ml

    rule = _rule(app, round_id) if round_id else RoundSet("", at, Method.LEAF_SPRAY)
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


@feed.command()
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


@feed.command()
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


@feed.command()
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
    from station.store.feedings import Feedings
    from station.store.rounds import Rounds

    with app.notebook() as notebook:
        rounds = Rounds(notebook)
        changed = rounds.record(replace(entry, round_id=rounds.name_of(name)), now_at=now())
        found = next(one for one in rounds.rounds(Feedings(notebook).feedings()) if one.id == changed.id)
    _tell_rounds(app, [found], as_json=as_json, single=True)
