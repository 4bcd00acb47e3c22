"""What the commands share: settings and files, and answers as JSON."""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar
from zoneinfo import ZoneInfo

import click

from station.config import Settings
from station.errors import JarsideError
from station.settings_file import SET_UP, candidates, load

if TYPE_CHECKING:
    from station.store.notebook import Notebook
    from station.store.shelf_reader import ShelfReader

Command = TypeVar("Command", bound=Callable[..., Any])


@dataclass
class App:
    """What was said before the command: which settings, which data folder."""

    config: Path | None
    data: Path | None

    @cached_property
    def settings(self) -> Settings:
        """The settings, read when first asked for."""
        return self.settings_with(())

    def settings_of_file(self, changes: tuple[str, ...] = ()) -> Settings:
        """Return the settings without what was set on the pages."""
        settings = load(self.config, changes)
        return settings.model_copy(update={"data": self.data}) if self.data else settings

    def settings_with(self, changes: tuple[str, ...]) -> Settings:
        """Return the settings with some keys changed by `section.key=value`."""
        over = self.settings_of_file(changes).data_folder / SET_UP
        settings = load(self.config, changes, over)
        return settings.model_copy(update={"data": self.data}) if self.data else settings

    @property
    def settings_file(self) -> Path:
        """The settings file that is read, or where one would be looked for first."""
        if self.config:
            return self.config
        usual = candidates()
        return next((one for one in usual if one.is_file()), usual[0])

    @property
    def zone(self) -> ZoneInfo:
        """The zone of local times."""
        return self.settings.zone

    @property
    def shelf_file(self) -> Path:
        """Where the shelf log is."""
        return self.settings.data_folder / "shelf.db"

    @property
    def notebook_file(self) -> Path:
        """Where the notebook is."""
        return self.settings.data_folder / "notebook.db"

    def folder(self) -> Path:
        """Return the data folder, made if it was not there.

        Raises:
            JarsideError: it cannot be made.
        """
        folder = self.settings.data_folder
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise JarsideError(
                f"{folder}: the data folder cannot be made ({error.strerror})",
                "Name another with --data, or set data in the settings.",
            ) from error
        return folder

    def notebook(self) -> "Notebook":
        """Open the notebook, made if it was not there."""
        from station.store.notebook import Notebook

        self.folder()
        return Notebook.open(self.notebook_file)

    def shelf(self) -> "ShelfReader":
        """Return a reader of the shelf log."""
        from station.store.shelf_reader import ShelfReader

        return ShelfReader(self.shelf_file)


def pass_app(command: Command) -> Command:
    """Hand the command its `App`."""
    handed: Command = click.make_pass_decorator(App)(command)  # type: ignore[assignment] # it drops the first argument
    return handed


def json_option(command: Command) -> Command:
    """Give the command its `--json`."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON for programs.")(command)


def force_option(command: Command) -> Command:
    """Give the command its `--force`."""
    return click.option("--force", is_flag=True, help="Overwrite what is there.")(command)


def print_json(value: Any) -> None:
    """Print a value as JSON: times as ISO 8601 in UTC, paths as text."""
    plain = getattr(sys.stdout, "encoding", "") != "utf-8"  # elsewhere signs are written as JSON's own escapes
    click.echo(json.dumps(value, ensure_ascii=plain, indent=2, default=_plain, allow_nan=False))


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    return str(value)
