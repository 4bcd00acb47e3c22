"""`jarside passphrase` and `jarside token`: who may open the pages from elsewhere."""

import sys
from datetime import datetime
from typing import TYPE_CHECKING

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import now
from station.errors import JarsideError

if TYPE_CHECKING:
    from station.store.access import Access


def _opened(app: App) -> "Access":
    from station.store.access import Access
    from station.store.access_file import NAME

    return Access.open(app.folder() / NAME)


@click.command()
@click.option("--stdin", "from_stdin", is_flag=True, help="Read it from the standard input instead of asking.")
@click.option("--check", is_flag=True, help="Only say whether there is one; ends with 1 if not.")
@pass_app
def passphrase(app: App, *, from_stdin: bool, check: bool) -> None:
    """Set the passphrase of the pages; whoever is let in has to log in again.

    With a passphrase the pages may listen beyond this machine: set dashboard.host to its address in your network, or
    to 0.0.0.0 and name the machine in dashboard.allowed_hosts. They come over plain http: whoever can listen in on your
    network could read what is typed, so use a passphrase that opens nothing else, and never open the port to the
    internet.

    Example: jarside passphrase
    """
    if check:
        _say_whether_set(app)
        return
    text = _line_of_stdin() if from_stdin else _asked()
    with _opened(app) as access:
        access.set_passphrase(text)
    click.echo("The passphrase is set. Everyone has to log in with it now.")


def _line_of_stdin() -> str:
    return sys.stdin.buffer.readline().decode(errors="surrogateescape").rstrip("\r\n")


def _say_whether_set(app: App) -> None:
    with _opened(app) as access:
        if not access.protected:
            raise JarsideError("there is no passphrase yet", "Set one: jarside passphrase.")
    click.echo("A passphrase is set.")


def _asked() -> str:
    from station.store.passphrases import SHORTEST, checked

    click.echo(f"At least {SHORTEST} characters: four words that have nothing to do with each other are good.")
    first: str = click.prompt("The new passphrase", hide_input=True, err=True)
    checked(first)
    second: str = click.prompt("The same again", hide_input=True, err=True)
    if first != second:
        from station.store.passphrases import AccessError

        raise AccessError("the two are not the same: nothing was changed", "Run it again, and type the same twice.")
    return first


@click.group(cls=Group)
def token() -> None:
    """Let a program read and write under /api."""


@token.command("make")
@click.argument("name")
@json_option
@pass_app
def make_token(app: App, name: str, *, as_json: bool) -> None:
    """Make a token and print it, once.

    A program sends it with each request, in the header: Authorization: Bearer TOKEN

    Example: jarside token make shed-meter
    """
    with _opened(app) as access:
        secret = access.make_token(name, now())
    if as_json:
        print_json({"name": name.strip(), "token": secret})
        return
    click.echo(secret)
    click.echo("Keep it now: it is shown only once. It is sent as: Authorization: Bearer TOKEN", err=True)


@token.command("list")
@json_option
@pass_app
def list_tokens(app: App, *, as_json: bool) -> None:
    """Show which tokens there are, and when each was last used."""
    with _opened(app) as access:
        tokens = access.tokens()
    if as_json:
        print_json([{"name": one.name, "made_at": one.made_at, "used_at": one.used_at} for one in tokens])
        return
    if not tokens:
        click.echo("There are none. Make one: jarside token make NAME")
    for one in tokens:
        click.echo(f"{one.name}: made {_moment(app, one.made_at)}, last used {_moment(app, one.used_at)}")


def _moment(app: App, at: datetime | None) -> str:
    return "never" if at is None else f"{at.astimezone(app.zone):%Y-%m-%d %H:%M}"


@token.command("end")
@click.argument("name")
@pass_app
def end_token(app: App, name: str) -> None:
    """Let a token open nothing any more.

    Example: jarside token end shed-meter
    """
    with _opened(app) as access:
        access.end_token(name)
    click.echo(f"The token of {name.strip()} has ended.")
