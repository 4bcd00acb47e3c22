"""`jarside dashboard`: the pages."""

from typing import TYPE_CHECKING

import click

from station.cli.frame import App, pass_app

if TYPE_CHECKING:
    from station.config import Settings


@click.command()
@click.option("--host", help="The address to listen on; beyond this machine it needs a passphrase.")
@click.option("--port", type=click.IntRange(1, 65535), help="The port to listen on.")
@pass_app
def dashboard(app: App, host: str | None, port: int | None) -> None:
    """Serve the pages: the shelf, the jars, the climate.

    Example: jarside dashboard --port 8420
    """
    from dashboard.app import create_app
    from dashboard.serve import Serving
    from station.cli.lending import lent
    from station.clock import SystemClock

    settings = app.settings
    where = settings.dashboard.model_copy(
        update={"host": host or settings.dashboard.host, "port": port or settings.dashboard.port}
    )

    def read(with_pages: bool) -> "Settings":  # noqa: FBT001
        return app.settings_with(()) if with_pages else app.settings_of_file()

    app.folder()
    pages = create_app(
        settings.model_copy(update={"dashboard": where}),
        settings.data_folder,
        SystemClock().now,
        lent=lent(settings, settings.data_folder, read),
    )
    server = Serving(pages, where.host, where.port)
    click.echo(f"The pages are at {server.url}, {_for_whom(protected=pages.state.protected())}. Ctrl-C ends it.")
    server.run()


def _for_whom(*, protected: bool) -> str:
    return "behind a passphrase" if protected else "without a passphrase and for this machine alone"
