"""`jarside survey`: was this a good spot?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.domain.coming_sun import ComingSun, SunSeen
from station.domain.readings import Reading
from station.domain.survey import Spot
from station.errors import JarsideError


@click.command()
@click.argument("logs", nargs=-1, type=click.Path(path_type=Path))
@click.option("--skip-bad", is_flag=True, help="Leave out rows that cannot be used, and count them.")
@json_option
@pass_app
def survey(app: App, logs: tuple[Path, ...], *, skip_bad: bool, as_json: bool) -> None:
    """Judge a spot by its log: hours in the good range, cold, hot, sun, damp, and a verdict in one sentence.

    Several logs are set side by side. Without a log the station's own is taken, from its last move on.

    Example: jarside survey kitchen.csv scullery.csv
    """
    from station.cli.shelf_commands import sun_json
    from station.cli.survey_text import moves_text, spot_json, sun_text, survey_text

    found = [_from_file(app, path, skip_bad=skip_bad) for path in logs] or [_from_shelf(app)]
    if as_json:
        print_json(
            [{**spot_json(one.name, one.spot), "moved_at": one.moved_at, "sun": sun_json(one.sun)} for one in found]
        )
    else:
        text = survey_text([(one.name, one.spot) for one in found], app.settings.units.temperature)
        moves = moves_text(found[0].moved_at, app.zone, from_files=bool(logs))
        click.echo("\n".join([text, *moves, "", *sun_text([(one.name, one.sun) for one in found], app.zone)]))


@dataclass(frozen=True, slots=True)
class Surveyed:
    """One log and what it says of its place; without a place on earth nothing of the sun.

    `moved_at` is when the station was put there, if that is recorded: what it measured before is left out.
    """

    name: str
    spot: Spot
    sun: ComingSun | None
    moved_at: datetime | None = None


def _from_file(app: App, path: Path, *, skip_bad: bool) -> Surveyed:
    from station.store.log_files import read_log

    seen = SunSeen(app.settings.limits.sun_lx)
    spot = _surveyed(app, seen.watched(read_log(path, skip_bad=skip_bad)))
    return Surveyed(path.stem, spot, seen.coming(app.settings.place.known, app.zone))


def _from_shelf(app: App) -> Surveyed:
    from station.cli.shelf_commands import last_moved_at, seen_sun

    shelf = app.shelf()
    if not shelf.exists:
        raise JarsideError(f"{app.shelf_file}: there is no shelf log", "Name a log file: jarside survey kitchen.csv.")
    moved_at = last_moved_at(app)
    spot = _surveyed(app, shelf.readings(moved_at or datetime.fromtimestamp(0, UTC)))
    return Surveyed("this shelf", spot, seen_sun(app), moved_at)


def _surveyed(app: App, readings: Iterable[Reading]) -> Spot:
    from station.domain.shelf import Judge
    from station.domain.survey import surveyed

    settings = app.settings
    return surveyed(readings, Judge(settings.limits.limits(), settings.place.known), settings.strain.base_c)
