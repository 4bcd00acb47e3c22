"""`jarside backup` and `jarside restore`: shelf log, notebook and set-up in one file, checked."""

from pathlib import Path

import click

from station.cli.frame import App, force_option, json_option, pass_app, print_json


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@force_option
@json_option
@pass_app
def backup(app: App, file: Path, *, force: bool, as_json: bool) -> None:
    """Save shelf log, notebook and what was set on the pages to one zip file, checked. The station may go on.

    Example: jarside backup jarside-2026-05-14.zip
    """
    from station.store.backup import back_up

    _tell("Saved", "to", back_up(app.settings.data_folder, file, overwrite=force), file, as_json=as_json)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@force_option
@json_option
@pass_app
def restore(app: App, file: Path, *, force: bool, as_json: bool) -> None:
    """Put the files of a backup into the data folder. Stop the station and the dashboard first.

    Example: jarside restore jarside-2026-05-14.zip --force
    """
    from station.store.backup import restore as put_back

    _tell("Restored", "from", put_back(file, app.folder(), overwrite=force), file, as_json=as_json)


def _tell(what: str, way: str, names: tuple[str, ...], file: Path, *, as_json: bool) -> None:
    from station.store.backup import named

    if as_json:
        print_json({"file": file, "files": list(names)})
    else:
        click.echo(f"{what} {named(names)} {way} {file}.")
