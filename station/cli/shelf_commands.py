"""`jarside shelf`: when the sun comes to it, and that it was moved."""

from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import now, said_at

if TYPE_CHECKING:
    from datetime import datetime

    from station.domain.coming_sun import ComingSun
    from station.domain.sunwindow import SunSpell, SunWindow


@click.group(cls=Group)
def shelf() -> None:
    """The shelf: when direct sun comes to it; tell when you move it."""


@shelf.command()
@json_option
@pass_app
def sun(app: App, *, as_json: bool) -> None:
    """Show from where direct sun has reached the shelf, and when it will come tomorrow if the sky is clear.

    Example: jarside shelf sun
    """
    from station.domain.coming_sun import NO_PLACE, spells_text, tomorrow_text, window_text

    found = seen_sun(app)
    if as_json:
        print_json(sun_json(found))
    elif found is None:
        click.echo(NO_PLACE)
    else:
        today = f"Today {spells_text(found.today, app.zone)}." if found.today else ""
        lines = [tomorrow_text(found, app.zone), *([today] if today else [])]
        click.echo("\n".join([*lines, *(f"  {window_text(window, app.zone)}" for window in found.windows)]))


@shelf.command()
@click.option("--at", metavar="TIME", help="When, if not now: 2026-05-14T07:00, local time.")
@click.option("--take-back", is_flag=True, help="It was not moved after all: the latest move is taken back.")
@json_option
@pass_app
def moved(app: App, at: str | None, *, take_back: bool, as_json: bool) -> None:
    """Record that the station was moved or turned: what the sun did before no longer counts.

    Example: jarside shelf moved --at 2026-05-14T07:00
    """
    from station.domain.moments import moment_text
    from station.store.shelf_moves import ShelfMoves

    with app.notebook() as notebook:
        moves = ShelfMoves(notebook)
        if take_back:
            text = f"Took back the move of {moment_text(moves.take_back(now_at=now()), app.zone)}."
        else:
            moves.move(said_at(app, at), now_at=now())
            text = "Recorded the move; the sun's times are learned anew."
        last_at = moves.last_at()
    if as_json:
        print_json({"moved_at": last_at})
    else:
        click.echo(text)


def seen_sun(app: App) -> "ComingSun | None":
    """Return what the station's own log tells of the sun; None while its place is not set."""
    from station.store.sun_seen import sun_seen

    place = app.settings.place.known
    if place is None:
        return None
    return sun_seen(app.shelf(), place, app.settings.limits.sun_lx, now(), app.zone, last_moved_at(app))


def last_moved_at(app: App) -> "datetime | None":
    """Return when the station was last moved, or None."""
    from station.store.shelf_moves import ShelfMoves

    if not app.notebook_file.is_file():
        return None
    with app.notebook() as notebook:
        return ShelfMoves(notebook).last_at()


def sun_json(found: "ComingSun | None") -> dict[str, Any] | None:
    """Return the sun for programs: windows in degrees, times in UTC; None while the place is not known."""
    if found is None:
        return None
    return {
        "windows": [_window_json(window) for window in found.windows],
        "today": [_spell_json(spell) for spell in found.today],
        "tomorrow": [_spell_json(spell) for spell in found.tomorrow],
    }


def _window_json(window: "SunWindow") -> dict[str, Any]:
    return {
        "azimuth_deg": [round(window.azimuth_from_deg, 1), round(window.azimuth_to_deg, 1)],
        "elevation_deg": [round(window.elevation_from_deg, 1), round(window.elevation_to_deg, 1)],
        "days": window.days,
        "last_seen_at": window.last_seen_at,
    }


def _spell_json(spell: "SunSpell") -> dict[str, Any]:
    return {"from": spell.began_at, "until": spell.ended_at}
