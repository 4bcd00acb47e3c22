"""The command line: the outermost layer. Each command imports what it needs when it runs."""

import errno
import signal
import sys
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path
from typing import Any, NoReturn

import click

from station.cli.frame import App
from station.cli.groups import Group
from station.cli.times import now
from station.errors import JarsideError

_COMMANDS = {
    "demo": "station.cli.demo_command:demo",
    "init": "station.cli.init_command:init",
    "watch": "station.cli.watch_command:watch",
    "dashboard": "station.cli.dashboard_command:dashboard",
    "passphrase": "station.cli.access_commands:passphrase",
    "token": "station.cli.access_commands:token",
    "status": "station.cli.status_command:status",
    "alerts": "station.cli.alerts_commands:alerts",
    "probe": "station.cli.hardware_commands:probe",
    "calibrate": "station.cli.calibrate_commands:calibrate",
    "replay": "station.cli.replay_command:replay",
    "survey": "station.cli.survey_command:survey",
    "backtest": "station.cli.backtest_command:backtest",
    "shelf": "station.cli.shelf_commands:shelf",
    "export": "station.cli.log_commands:export",
    "import": "station.cli.log_commands:import_",
    "backup": "station.cli.backup_commands:backup",
    "restore": "station.cli.backup_commands:restore",
    "pick": "station.cli.pick_command:pick",
    "plants": "station.cli.plants_commands:plants",
    "mix": "station.cli.mix_command:mix",
    "jar": "station.cli.jar_commands:jar",
    "need": "station.cli.need_commands:need",
    "bottle": "station.cli.bottle_commands:bottle",
    "dilute": "station.cli.dilute_command:dilute",
    "feed": "station.cli.feed_commands:feed",
    "trial": "station.cli.trial_commands:trial",
    "label": "station.cli.label_command:label",
    "season": "station.cli.season_command:season",
    "notebook": "station.cli.notebook_commands:notebook",
}
"""Every command, and where it is: a module is only imported when its command is asked for."""


class Commands(Group):
    """A group that knows its commands by name, and turns expected failures into one line and exit code 1."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import a command."""
        where = _COMMANDS.get(cmd_name)
        if where is None:
            return None
        module, name = where.split(":")
        command: click.Command = getattr(import_module(module), name)
        return command

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Refuse bytes that are no text: they can neither be kept nor be told again."""
        for word in args:
            if any("\ud800" <= sign <= "\udfff" for sign in word):
                raise click.UsageError(f"{word!r} is no UTF-8 text. Type it again; rename a file of that name.", ctx)
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run, and explain an expected failure in one line."""
        try:
            return super().invoke(ctx)
        except click.NoSuchOption as error:
            if not error.option_name.lstrip("-")[:1].isdigit():
                raise
            _explain(JarsideError(f"{error.option_name}… is negative", "Amounts are above 0, such as 20mL."), ctx)
        except JarsideError as error:
            _explain(error, ctx)
        except OSError as error:
            if error.errno == errno.EPIPE:  # whoever read the answer has read enough: click ends quietly
                raise
            _explain(JarsideError(_refusal(error), "Check the name, its permissions and its disk."), ctx)


def _refusal(error: OSError) -> str:
    why = error.strerror or str(error)
    return f"{error.filename}: {why}" if error.filename else why


def _explain(error: JarsideError, ctx: click.Context) -> NoReturn:
    click.echo(f"jarside: {' '.join(_text(error, ctx).split())}", err=True)
    ctx.exit(1)


def _text(error: JarsideError, ctx: click.Context) -> str:
    """Return what happened with times in the user's zone; in UTC when it was the settings that could not be read."""
    try:
        return error.text_in(ctx.find_object(App).zone)  # type: ignore[union-attr] # there since `cli` ran
    except (JarsideError, AttributeError, OSError):
        return str(error)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="jarside", prog_name="jarside")
@click.option("--config", type=click.Path(path_type=Path), help="The settings file (TOML).")
@click.option("--data", type=click.Path(path_type=Path), help="The folder with shelf.db and notebook.db.")
@click.pass_context
def cli(ctx: click.Context, config: Path | None, data: Path | None) -> None:
    """A station beside the jars: it minds the shelf and says which evening to strain.

    Begin with `jarside demo`: a simulated shelf, with no hardware.
    """
    from station.domain.moments import read_by

    ctx.obj = App(config, data)
    ctx.with_resource(read_by(lambda: now()))


def main() -> None:
    """The console script. When it is told to end, what was begun beside a file is taken away again first."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # a sign that the terminal does not know is told by its number
            stream.reconfigure(errors="backslashreplace")
    signal.signal(signal.SIGTERM, _end)
    try:
        cli(prog_name="jarside")
    except _ToldToEnd:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        signal.raise_signal(signal.SIGTERM)


class _ToldToEnd(BaseException):
    """SIGTERM."""


def _end(*_: object) -> NoReturn:
    raise _ToldToEnd
