"""Words of the notebook as choices on the command line, amounts in the user's measures, and ids that complete."""

import enum
import math
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypeVar

import click

from station.cli.frame import App
from station.domain.quantities import Measures, both_volumes, both_weights

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    AChoice = click.Choice[str]
    AnId = click.ParamType[str]
else:  # only the newer releases of click know these as generics
    AChoice = click.Choice
    AnId = click.ParamType

Kind = TypeVar("Kind", bound=enum.StrEnum)


class Word(AChoice, Generic[Kind]):
    """A choice among the words of an enumeration, with hyphens for spaces; the command gets the member."""

    def __init__(self, kind: type[Kind]) -> None:
        self._members = {member.value.replace(" ", "-"): member for member in kind}
        super().__init__(list(self._members))

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the member that the word stands for."""
        if isinstance(value, enum.StrEnum):
            return value
        return self._members[super().convert(value, param, ctx)]


class Within(click.FloatRange):
    """A number between two bounds, of which "nan" is none: no comparison finds it outside."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the number."""
        number = super().convert(value, param, ctx)
        if math.isnan(number):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return number


def measures_of(app: App) -> Measures:
    """Return the system in which this user reads amounts."""
    return Measures(app.settings.units.amounts)


def volume(app: App, amount_ml: float) -> str:
    """Return a volume as this user reads it, with the other system behind it."""
    return both_volumes(amount_ml, measures_of(app))


def weight(app: App, amount_g: float) -> str:
    """Return a weight as this user reads it, with the other system behind it."""
    return both_weights(amount_g, measures_of(app))


def rounded(value: float | None, digits: int = 3) -> float | None:
    """Return a number for JSON, without the noise of arithmetic."""
    return None if value is None else round(value, digits)


class Id(AnId):
    """An id of the notebook, which the shell can complete.

    Args:
        nouns: of which kinds: `jar`, `bottle`, `feeding`, `round`, `trial`.
    """

    name = "id"

    def __init__(self, *nouns: str) -> None:
        self._nouns = nouns

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """Return the ids that begin so; none when there is no notebook yet."""
        from click.shell_completion import CompletionItem

        return [CompletionItem(name) for name in self._ids(ctx) if name.startswith(incomplete)]

    def _ids(self, ctx: click.Context) -> Iterable[str]:
        said = ctx.find_root().params
        app = App(_path(said.get("config")), _path(said.get("data")))
        if not app.notebook_file.is_file():
            return []
        with app.notebook() as notebook:
            return notebook.ids(self._nouns)


def _path(value: Any) -> Path | None:
    return Path(value) if value else None
