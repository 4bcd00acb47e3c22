"""`jarside alerts`: what the station calls for, and what was done about it."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import moment, now, when_text
from station.errors import JarsideError, UnknownNameError

if TYPE_CHECKING:
    from station.domain.alert import Alert

SHORTEST = 3
"""So many letters name an alert; fewer may be a slip of the finger."""
MOST_NAMED = 5
LONGEST = timedelta(hours=24)
_LISTING = "jarside alerts list"


@click.group(cls=Group)
def alerts() -> None:
    """See the alerts, acknowledge them or put them off, and test the ways on which they reach you."""


@alerts.command("list")
@click.option("--all", "every", is_flag=True, help="Those that have cleared, too; the latest 100.")
@json_option
@pass_app
def list_(app: App, *, every: bool, as_json: bool) -> None:
    """List the open alerts, the newest first.

    Example: jarside alerts list --all
    """
    found = app.shelf().alerts(open_only=not every, limit=100)
    plants = _plants(app) if any(alert.jar_id for alert in found) else {}
    if as_json:
        print_json([_json(app, alert, plants) for alert in found])
    elif not found:
        click.echo("There are no alerts." if every else "No alert is open.")
    for alert in found if not as_json else ():
        click.echo(f"{alert.id}\n  {_text(app, alert, plants)}{_done(app, alert)}")


@alerts.command()
@click.argument("alert_id", metavar="ID")
@click.option("--take-back", is_flag=True, help="It was a slip: the alert reminds as before.")
@json_option
@pass_app
def ack(app: App, alert_id: str, *, take_back: bool, as_json: bool) -> None:
    """Acknowledge an open alert: it stays open, and does not remind again.

    The beginning of its ID, or of its jar's, is enough.

    Example: jarside alerts ack cold
    """
    if take_back:
        _take_back(app, _named(app, alert_id), now(), as_json=as_json)
    else:
        _answer(app, alert_id, now(), None, as_json=as_json)


@alerts.command()
@click.argument("alert_id", metavar="ID")
@click.option("--until", metavar="TIME", help="Within 24 hours; without it, the end of the next quiet hours.")
@json_option
@pass_app
def later(app: App, alert_id: str, until: str | None, *, as_json: bool) -> None:
    """Put an open alert off: it reminds again when that time has come, if it is still open.

    Example: jarside alerts later sun --until 2026-05-14T18:00
    """
    from station.domain.alert import next_morning

    at = now()
    morning_at = min(next_morning(at, app.settings.quiet.until, app.zone), at + LONGEST)
    until_at = moment(until, app.zone) if until else morning_at
    if until_at - at > LONGEST:
        raise JarsideError(("an alert cannot be put off until ", until_at), "Give a time within 24 hours.")
    _answer(app, alert_id, at, until_at, as_json=as_json)


@alerts.command()
@json_option
@pass_app
def test(app: App, *, as_json: bool) -> None:
    """Send a test through every way in the settings, broker and phones, and say what became of it.

    Example: jarside alerts test
    """
    from station.clock import SystemClock
    from station.domain.way import WayState
    from station.rehearsal import rehearsed
    from station.store.way_tests import keep_arrivals

    found = rehearsed(app.settings, SystemClock())
    if not found:
        raise JarsideError("no way out is set up", "Set mqtt.host or add a [[notify]] block to the settings.")
    if as_json:
        print_json([{"way": way.name, "state": way.state, "line": way.line, "remedy": way.remedy} for way in found])
    else:
        click.echo("\n".join(f"{way.line} {way.remedy}".rstrip() for way in found))
    with app.notebook() as notebook:
        keep_arrivals(notebook, found, now())
    failed = [way.name for way in found if way.state is WayState.TROUBLE]
    if failed:
        raise JarsideError(f"the test did not arrive by: {', '.join(failed)}", "Do what is said of it.")


def _answer(app: App, name: str, at: datetime, until_at: datetime | None, *, as_json: bool) -> None:
    from station.ports import Answer

    alert_id = _named(app, name)
    with app.notebook() as notebook:
        notebook.answer(Answer(alert_id, at, until_at))
    if as_json:
        print_json({"alert": alert_id, "at": at, "until_at": until_at})
        return
    done = "acknowledged" if until_at is None else f"put off until {when_text(app, until_at)}"
    click.echo(f"{alert_id} is {done}; the station takes note at its next minute.")


def _take_back(app: App, alert_id: str, at: datetime, *, as_json: bool) -> None:
    with app.notebook() as notebook:
        notebook.take_back(alert_id, at)
    if as_json:
        print_json({"alert": alert_id, "at": at, "taken_back": True})
    else:
        click.echo(f"{alert_id} is no longer acknowledged; the station takes note at its next minute.")


def _named(app: App, name: str) -> str:
    """Return the id of the open alert that is meant: by the beginning of its id, or of its jar's id or plant.

    Raises:
        UnknownNameError: there is none, or more than one, or so little was typed that it may have been a slip.
    """
    from station.store.ids import unknown

    found = app.shelf().alerts(open_only=True) if name else ()
    plants = _plants(app) if any(alert.jar_id for alert in found) else {}
    ids = [alert.id for alert in found]
    of_jar = [one.id for one in found if one.jar_id and _begins(name, one.jar_id, plants.get(one.jar_id, ""))]
    meant = [name] if name in ids else [one for one in ids if one.startswith(name)] or of_jar
    if not meant:
        raise unknown(name, "open alert", _LISTING)
    if len(meant) > 1 or len(name) < SHORTEST:
        raise UnknownNameError(f"{name} could be {', '.join(meant[:MOST_NAMED])}", "Write more of the id.")
    return meant[0]


def _begins(name: str, *others: str) -> bool:
    return any(other.lower().startswith(name.lower()) for other in others)


def _plants(app: App) -> dict[str, str]:
    with app.notebook() as notebook:
        return {jar.id: jar.plant for jar in notebook.jars()}


def _text(app: App, alert: "Alert", plants: dict[str, str]) -> str:
    from station.domain.sentences import alert_sentence

    plant = plants.get(alert.jar_id, alert.jar_id)
    return alert_sentence(alert, app.zone, app.settings.units.temperature, plant, now())


def _done(app: App, alert: "Alert") -> str:
    if alert.acknowledged_at is not None:
        return f" Acknowledged {when_text(app, alert.acknowledged_at)}."
    if alert.open and alert.put_off_until_at is not None:
        return f" Put off until {when_text(app, alert.put_off_until_at)}."
    return ""


def _json(app: App, alert: "Alert", plants: dict[str, str]) -> dict[str, Any]:
    return {
        "id": alert.id,
        "kind": alert.kind.value,
        "jar": alert.jar_id or None,
        "text": _text(app, alert, plants),
        "open": alert.open,
        "raised_at": alert.raised_at,
        "since_at": alert.since_at,
        "value": alert.value if alert.kind.unit else None,
        "peak": alert.peak if alert.kind.unit else None,
        "evening_at": alert.evening_at,
        "acknowledged_at": alert.acknowledged_at,
        "put_off_until_at": alert.put_off_until_at,
        "notified_at": alert.notified_at,
        "cleared_at": alert.cleared_at,
    }
