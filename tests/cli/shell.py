"""Running commands as a person or a program would."""

import json
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from station.cli import cli
from tests.builders import START


@dataclass(frozen=True)
class Said:
    """What a command printed, and how it ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        assert self.code == 0, self.err
        return json.loads(self.out)


def jarside(*words: str | Path, data: Path | None = None, config: Path | None = None) -> Said:
    """Run one command."""
    before = [*(["--data", str(data)] if data else []), *(["--config", str(config)] if config else [])]
    result = CliRunner().invoke(cli, [*before, *map(str, words)], prog_name="jarside")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Said(result.exit_code, result.stdout, result.stderr)


def refused(said: Said, *fragments: str) -> None:
    """Check that a command failed as it should: exit 1, one line, naming what, where and what to do."""
    assert said.code == 1, said
    assert said.out == ""
    assert said.err.startswith("jarside: ")
    assert said.err.count("\n") == 1
    for fragment in fragments:
        assert fragment in said.err, said.err


def a_log(folder: Path, *rows: str, header: str = "time,temp_c,rh_pct,light_lx", name: str = "log.csv") -> Path:
    """Write a log file with these rows."""
    path = folder / name
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path


def a_steady_log(folder: Path, temp_c: float, hours: float, every_s: int = 600, name: str = "steady.csv") -> Path:
    """Write a log of one temperature, both ends included."""
    count = round(hours * 3600 / every_s)
    times = [START + timedelta(seconds=every_s * number) for number in range(count + 1)]
    return a_log(folder, *(f"{at.isoformat()},{temp_c},50," for at in times), name=name)
