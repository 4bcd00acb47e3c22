"""What was set on the pages, kept in the data folder as a small settings file of its own."""

import json
from collections.abc import Mapping
from datetime import time
from pathlib import Path

from station.settings_file import SET_UP
from station.store.writing_aside import written_aside

Value = str | float | time | tuple[str, ...]
HEAD = "# Set on the pages of Jarside; goes over the settings file. Remove a line, or this file, to have that again.\n"


def keep_set_up(folder: Path, sections: Mapping[str, Mapping[str, Value]]) -> None:
    """Write what was set on the pages, whole or not at all; nothing set leaves a file that says so.

    Args:
        folder: the data folder.
        sections: keys and values by section.

    Raises:
        StoreError: it cannot be written.
    """
    parts = [f"\n[{name}]\n{_lines(keys)}" for name, keys in sections.items() if keys]
    with written_aside(folder / SET_UP, overwrite=True) as aside:
        aside.write_text("".join([HEAD, *parts]), encoding="utf-8")


def _lines(keys: Mapping[str, Value]) -> str:
    return "".join(f"{key} = {_text(value)}\n" for key, value in keys.items())


def _text(value: Value) -> str:
    """Return a value as TOML writes it; its strings are JSON's, as long as they are ASCII."""
    if isinstance(value, time):
        return value.isoformat()
    return json.dumps(value)
