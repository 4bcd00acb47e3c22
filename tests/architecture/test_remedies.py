"""A remedy that names a command has a second form, for one who stands before the pages with wet hands."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

STATION = Path(__file__).parents[2] / "station"
FROM_THE_SHELL = "StoreError", "SettingsError"
"""Files that are broken, missing or too new are mended from the shell only."""


def raised(path: Path) -> Iterator[tuple[str, list[ast.expr], int]]:
    """Every error that is made in a file: its kind, what is handed to it, and the line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id.endswith("Error"):
            yield node.func.id, node.args, node.lineno


def names_a_command(text: ast.expr) -> bool:
    """Whether a text, as it stands in the code, holds a command or an option of one."""
    return any(sign in ast.unparse(text) for sign in ("jarside ", "--"))


@pytest.mark.parametrize("folder", ["domain", "store"])
def test_a_remedy_for_the_shell_has_a_form_for_the_pages(folder: str) -> None:
    lacking = [
        f"{path.name}:{line}"
        for path in sorted((STATION / folder).glob("*.py"))
        for kind, given, line in raised(path)
        if kind not in FROM_THE_SHELL and len(given) == 2 and names_a_command(given[1])
    ]
    assert not lacking


def test_the_search_finds_what_it_looks_for(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text('raise NotebookError("no jar", "See them all: jarside jar list.")\n')
    ((kind, given, line),) = raised(tmp_path / "one.py")
    assert (kind, line) == ("NotebookError", 1)
    assert names_a_command(given[1])
    assert not names_a_command(given[0])


DASHBOARD = STATION.parent / "dashboard"
FOR_PROGRAMS = re.compile(r"\b(error|problem|wrong\([^)]*\))\.(what|remedy)\b(?!_in)")
"""An error as programs get it: times in UTC, remedies for the shell."""


@pytest.mark.parametrize("pattern", ["templates/*.html", "pages/*.py", "views/*.py"])
def test_pages_say_errors_in_the_shelfs_own_time_and_for_their_reader(pattern: str) -> None:
    found = {
        (path.name, told[0])
        for path in sorted(DASHBOARD.glob(pattern))
        for told in FOR_PROGRAMS.finditer(path.read_text(encoding="utf-8"))
        if ".remedy.startswith(" not in path.read_text(encoding="utf-8")[told.start() : told.end() + 12]
    }
    assert not found
