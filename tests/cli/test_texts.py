"""What README, guide, pages and messages tell a person to type can be typed."""

import re
import shlex
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import click
import pytest

from sim.scenario import names
from station.cli import cli
from station.cli.frame import App
from station.config import Settings

ROOT = Path(__file__).parents[2]
GUIDES = ("README.md", "hardware/README.md")
TALKING = ("station", "sim", "hardware", "dashboard", "systemd")
BLOCK = re.compile(r"^```\w*\n(.*?)^```", re.MULTILINE | re.DOTALL)
LINE = re.compile(r"^(?:sudo )?(?:\S+/)?jarside (.*)$")
MENTION = re.compile(r"`(?:sudo )?jarside ([^`]*)`")
NAMED = re.compile(r"\bjarside ([a-z]+)(?: ([a-z]+(?:-[a-z]+)*))?")
OPTION = re.compile(r"`(--[a-z-]+)[^`]*`")


def text_of(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def typed(guide: str) -> Iterator[str]:
    """The commands in a guide's blocks, without what stands beside them."""
    for block in BLOCK.findall(text_of(guide)):
        found = (LINE.match(line.rpartition(" && ")[2]) for line in block.splitlines())
        yield from (re.split(r"\s{2,}", match[1])[0] for match in found if match)


def mentioned(guide: str) -> Iterator[str]:
    yield from (words for words in MENTION.findall(" ".join(text_of(guide).split())) if not words[0].isupper())


def command_of(words: list[str]) -> tuple[click.Command, list[str]]:
    """The command that some words lead to, and what is left of them."""
    command: click.Command = cli
    while isinstance(command, click.Group) and words and not words[0].startswith("-"):
        name, *words = words
        found = command.get_command(click.Context(command), name)
        assert found is not None, f"there is no command {name}"
        command = found
    return command, words


def parse(words: list[str]) -> None:
    command, rest = command_of(words)
    with suppress(click.exceptions.Exit):  # of --help
        command.make_context(command.name, rest, obj=App(None, None))


@pytest.mark.parametrize("words", [words for guide in GUIDES for words in typed(guide)])
def test_a_command_in_a_block_is_whole(words: str) -> None:
    parse(shlex.split(words))


@pytest.mark.parametrize("words", [words for guide in GUIDES for words in mentioned(guide)])
def test_a_command_in_a_sentence_has_such_options(words: str) -> None:
    parse([*shlex.split(words), "--help"])


def test_there_are_commands_to_look_at() -> None:
    assert len(list(typed("README.md"))) > 30
    assert len(list(mentioned("README.md"))) > 5
    assert len(list(typed("hardware/README.md"))) > 3


def every_command(group: click.Group) -> Iterator[click.Command]:
    for name in group.list_commands(click.Context(group)):
        command = group.get_command(click.Context(group), name)
        assert command is not None
        yield command
        if isinstance(command, click.Group):
            yield from every_command(command)


def test_an_option_that_readme_names_is_one() -> None:
    known = {option for one in (cli, *every_command(cli)) for way in one.params for option in way.opts}
    named = set(OPTION.findall(text_of("README.md")))
    assert named
    assert named - known == set()


def test_what_the_program_says_to_run_is_there() -> None:
    files = (path for folder in TALKING for path in (ROOT / folder).rglob("*"))
    talking = (path for path in files if path.suffix in (".py", ".html", ".js", ".md", ".toml", ".service"))
    found = [(path.name, *match) for path in talking for match in NAMED.findall(path.read_text(encoding="utf-8"))]
    assert len(found) > 100
    assert [one for one in found if not there_is(*one[1:])] == []


def there_is(name: str, word: str) -> bool:
    """Whether there is such a command, and, if it is a group, such a command of it."""
    command = cli.get_command(click.Context(cli), name)
    if isinstance(command, click.Group) and word:
        return command.get_command(click.Context(command), word) is not None
    return command is not None


def test_the_scenarios_and_settings_that_readme_names_are_there() -> None:
    readme = text_of("README.md")
    scenarios = set(re.findall(r"`(?:--scenario )?([a-z]+(?:-[a-z]+)+)`", readme))
    assert len(scenarios) > 1
    assert scenarios <= set(names())
    for section, key in re.findall(r"`(dashboard|mqtt|place|limits|strain)\.(\w+)`", readme):
        assert key in type(getattr(Settings(), section)).model_fields
