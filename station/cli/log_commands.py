"""`jarside export` and `jarside import`: the shelf log as a CSV file."""

from pathlib import Path

import click

from station.cli.frame import App, force_option, json_option, pass_app, print_json
from station.cli.times import moment
from station.domain.figures import counted
from station.errors import JarsideError

START = "1970-01-01T00:00:00Z"


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--since", metavar="TIME", help="From this time on.")
@click.option("--until", metavar="TIME", help="Up to this time.")
@force_option
@json_option
@pass_app
def export(app: App, file: Path, since: str | None, until: str | None, *, force: bool, as_json: bool) -> None:
    """Write the shelf log to a CSV file: time,temp_c,rh_pct,light_lx.

    Example: jarside export may.csv --since 2026-05-01 --until 2026-06-01
    """
    from station.store.log_files import write_log

    shelf = app.shelf()
    if not shelf.exists:
        raise JarsideError(
            f"{app.shelf_file}: there is no shelf log", "Run jarside watch first, or name its folder with --data."
        )
    until_at = moment(until, app.zone) if until else None
    count = write_log(file, shelf.readings(moment(since or START, app.zone), until_at), overwrite=force)
    if as_json:
        print_json({"file": file, "readings": count})
    else:
        click.echo(f"Wrote {counted(count, 'reading')} to {file}.")


@click.command(name="import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--skip-bad", is_flag=True, help="Leave out rows that cannot be used, and count them.")
@json_option
@pass_app
def import_(app: App, file: Path, *, skip_bad: bool, as_json: bool) -> None:
    """Read a CSV log file into the shelf log; rows that are there already are left alone.

    Stop the station first: it alone writes the shelf log.

    Example: jarside import may.csv
    """
    from station.cli.progress import counting
    from station.store.log_files import read_log
    from station.store.shelf_log import ShelfLog

    app.folder()
    source = read_log(file, skip_bad=skip_bad)
    log = ShelfLog.open(app.shelf_file)
    try:
        with counting("importing", "readings"):
            added, known = log.import_readings(source)
    finally:
        log.close()
    if as_json:
        print_json({"file": file, "added": added, "known": known, "rejected": source.rejected})
    else:
        rest = f", {counted(source.rejected, 'row')} left out" if source.rejected else ""
        click.echo(f"Added {counted(added, 'reading')}, {counted(known, 'was', 'were')} there already{rest}.")
