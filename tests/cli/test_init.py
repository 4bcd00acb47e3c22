"""The settings file that `jarside init` writes: every key is in it, and everything in it can be switched on."""

import re
import tomllib
from pathlib import Path
from typing import get_args

import pytest
from pydantic import BaseModel

from station.cli.init_command import TEMPLATE
from station.config import Settings
from station.settings_file import load

SWITCHED_ON = re.sub(r"^# (?=\[|[a-z_]+ = )", "", TEMPLATE, flags=re.MULTILINE)


def keys_of(model: type[BaseModel], before: str = "") -> set[str]:
    """Every key that may be set, sections by name and lists by the name of the list."""
    found: set[str] = set()
    for name, field in model.model_fields.items():
        key = f"{before}{field.alias or name}"
        parts = (field.annotation, *get_args(field.annotation))
        inner = [part for part in parts if isinstance(part, type) and issubclass(part, BaseModel)]
        found |= keys_of(inner[0], f"{key}.") if inner else {key}
    return found


def written_keys() -> set[str]:
    found: set[str] = set()
    for key, value in tomllib.loads(SWITCHED_ON).items():
        blocks = value if isinstance(value, list) else [value]
        inner = [f"{key}.{name}" for block in blocks if isinstance(block, dict) for name in block]
        found |= set(inner) or {key}
    return found


def test_every_setting_is_in_the_file() -> None:
    assert written_keys() == keys_of(Settings)


def test_everything_in_it_can_be_switched_on_as_it_is_written(tmp_path: Path) -> None:
    path = tmp_path / "all.toml"
    path.write_text(SWITCHED_ON, encoding="utf-8")
    settings = load(path)
    assert settings.mqtt.host == "127.0.0.1"
    assert [target.name for target in settings.notify] == ["phone"]
    assert len(settings.sensors) == 5


@pytest.mark.parametrize("section", ["limits", "strain", "keeping", "quiet", "units", "dashboard"])
def test_the_values_in_it_are_the_defaults(section: str, tmp_path: Path) -> None:
    path = tmp_path / "all.toml"
    path.write_text(re.sub(r"^days_away = .*$", "", SWITCHED_ON, flags=re.MULTILINE), encoding="utf-8")
    assert getattr(load(path), section) == getattr(Settings(), section)


@pytest.mark.parametrize("key", ["data", "lat_deg", "zone", "days_away"])
def test_what_is_not_a_default_is_called_an_example(key: str) -> None:
    before = TEMPLATE.partition(f"# {key} = ")[0].rstrip("\n").splitlines()[-4:]
    assert any("xample" in line for line in before)


def test_the_plain_values_of_the_broker_are_the_defaults(tmp_path: Path) -> None:
    path = tmp_path / "all.toml"
    path.write_text(SWITCHED_ON, encoding="utf-8")
    given, usual = load(path).mqtt, Settings().mqtt
    assert (given.port, given.tls, given.keepalive_s, given.commands) == (
        usual.port,
        usual.tls,
        usual.keepalive_s,
        usual.commands,
    )
