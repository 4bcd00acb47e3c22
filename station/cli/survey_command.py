"""`jarside survey`: was this a good spot?"""

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

import click

from station.cli.frame import App, json_option, pass_app, print_json
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

    Several logs are set side by side. Without a log the station's own is taken.

    Example: jarside survey kitchen.csv scullery.csv
    """
    from station.cli.survey_text import spot_json, survey_text

    spots = [_from_file(app, path, skip_bad=skip_bad) for path in logs] or [_from_shelf(app)]
    if as_json:
        print_json([spot_json(name, spot) for name, spot in spots])
    else:
        click.echo(survey_text(spots, app.settings.units.temperature))


def _from_file(app: App, path: Path, *, skip_bad: bool) -> tuple[str, Spot]:
    from station.store.log_files import read_log

    return path.stem, _surveyed(app, read_log(path, skip_bad=skip_bad))


def _from_shelf(app: App) -> tuple[str, Spot]:
    shelf = app.shelf()
    if not shelf.exists:
        raise JarsideError(f"{app.shelf_file}: there is no shelf log", "Name a log file: jarside survey kitchen.csv.")
    return "this shelf", _surveyed(app, shelf.readings(datetime.fromtimestamp(0, UTC)))


def _surveyed(app: App, readings: Iterable[Reading]) -> Spot:
    from station.domain.shelf import Judge
    from station.domain.survey import surveyed

    return surveyed(readings, Judge(app.settings.limits.limits(), app.settings.place.known))
