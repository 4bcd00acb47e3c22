"""`jarside notebook`: everything the grower recorded, out to a file and in again."""

from pathlib import Path

import click

from station.cli.frame import App, force_option, json_option, pass_app, print_json
from station.cli.groups import Group
from station.cli.times import now
from station.domain.figures import counted


@click.group(cls=Group)
def notebook() -> None:
    """The whole notebook as JSON, or as CSV for a spreadsheet: export, import.

    Example: jarside notebook export notebook.json
    """


@notebook.command()
@click.argument("file", type=click.Path(path_type=Path))
@force_option
@json_option
@pass_app
def export(app: App, file: Path, *, force: bool, as_json: bool) -> None:
    """Write every entry to FILE, which ends in .json or .csv.

    Example: jarside notebook export notebook.csv
    """
    from station.store.notebook_files import write_notebook

    with app.notebook() as opened:
        count = write_notebook(opened, file, overwrite=force)
    if as_json:
        print_json({"file": file, "entries": count})
    else:
        click.echo(f"Wrote {counted(count, 'entry', 'entries')} to {file}.")


@notebook.command(name="import")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@pass_app
def import_(app: App, file: Path, *, as_json: bool) -> None:
    """Add the entries of FILE; those that are there already are left alone. All of them, or none.

    Example: jarside notebook import notebook.json
    """
    from station.store.notebook_files import read_notebook

    with app.notebook() as opened:
        found = read_notebook(opened, file, now_at=now())
    if as_json:
        print_json({"file": file, "added": found.added, "known": found.known})
    else:
        click.echo(
            f"Added {counted(found.added, 'entry', 'entries')}, {counted(found.known, 'was', 'were')} there already."
        )
