"""Stations as processes of their own at real pace, beside bare Python programs, all over the same stretch of time."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.delivery import a_broker
from tests.bench.logs import a_folder
from tests.daemon.broker import PASSWORDS, Broker

HISTORY_DAYS = 14
START_S = 6.0
"""How long they have to start; not counted."""
MB = 1e6

WATCH, WITH_BROKER, FIRST_DAY, SCRIPTED = "watch", "with broker", "first day", "scripted"
BARE_MEMORY, BARE_LOOP = "bare memory", "bare loop"
_WATCH_ALONE = "import sys; sys.modules['numpy'] = None; from station.cli import main; main()"
"""The tests' own libraries bring numpy with them; a station is installed without it."""
_SQLITE_ASLEEP = "import sqlite3, time; time.sleep(3600)"
_LOOP = "import time\nwhile True: time.sleep(10)"


@dataclass(frozen=True, slots=True)
class Life:
    """How a process lived.

    Args:
        rss_mb, pss_mb: its memory at the end: all that is mapped, and with what is shared counted by its share.
        core_pct: processor time, user and system, in percent of one core.
        numpy: whether numpy is loaded.
    """

    rss_mb: float
    pss_mb: float
    core_pct: float
    numpy: bool


@cache
def lived(seconds: float) -> Mapping[str, Life]:
    """Let the stations and the bare programs live side by side; asked again, the answer is the same.

    Args:
        seconds: of real time; a station commits once a minute.
    """
    with TemporaryDirectory() as name, a_broker() as broker, _started(Path(name), broker) as started:
        time.sleep(START_S)
        if "as jarside-bench " not in broker.log():
            raise RuntimeError(f"the station did not come to the broker: {broker.log()}")
        before = {what: _cpu_s(process.pid) for what, process in started.items()}
        start_s = time.monotonic()
        time.sleep(seconds)
        return {what: _life(what, process, before[what], start_s) for what, process in started.items()}


@contextmanager
def _started(folder: Path, broker: Broker) -> Iterator[dict[str, subprocess.Popen[bytes]]]:
    now_at = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
    for what in (WATCH, WITH_BROKER, SCRIPTED):
        a_folder(folder / what, now_at, HISTORY_DAYS)
    started: dict[str, subprocess.Popen[bytes]] = {}
    try:
        for what, command in _commands(folder, broker).items():
            started[what] = subprocess.Popen([sys.executable, *command], stdin=subprocess.DEVNULL)
        yield started
    finally:
        for process in started.values():
            process.terminate()
        for process in started.values():
            process.wait(timeout=10.0)


def _commands(folder: Path, broker: Broker) -> Mapping[str, list[str]]:
    plain, connected, password = (folder / name for name in ("plain.toml", "connected.toml", "password"))
    password.write_text(PASSWORDS["jarside"], encoding="utf-8")
    plain.write_text('station = "bench"\n', encoding="utf-8")
    connected.write_text(
        f"""station = "bench"
[mqtt]
host = "127.0.0.1"
port = {broker.port}
username = "jarside"
password_file = "{password}"
""",
        encoding="utf-8",
    )

    def watch(what: str, settings: Path = plain) -> list[str]:
        return ["--config", str(settings), "--data", str(folder / what), "watch"]

    return {
        WATCH: ["-m", "station", *watch(WATCH)],
        WITH_BROKER: ["-m", "station", *watch(WITH_BROKER, connected)],
        FIRST_DAY: ["-c", _WATCH_ALONE, *watch(FIRST_DAY)],
        SCRIPTED: ["-m", "tests.bench.scripted", str(folder / SCRIPTED)],
        BARE_MEMORY: ["-c", _SQLITE_ASLEEP],
        BARE_LOOP: ["-c", _LOOP],
    }


def _life(what: str, process: subprocess.Popen[bytes], before_s: float, start_s: float) -> Life:
    if process.poll() is not None:
        raise RuntimeError(f"{what} ended by itself with code {process.returncode}")
    share = (_cpu_s(process.pid) - before_s) / (time.monotonic() - start_s)
    proc = Path(f"/proc/{process.pid}")
    numpy = "numpy" in (proc / "maps").read_text(encoding="utf-8")
    return Life(_kb(proc / "status", "VmRSS"), _kb(proc / "smaps_rollup", "Pss"), 100.0 * share, numpy)


def _kb(path: Path, name: str) -> float:
    """Return a line such as `VmRSS:  33184 kB` in MB."""
    line = next(line for line in path.read_text(encoding="ascii").splitlines() if line.startswith(f"{name}:"))
    return int(line.split()[1]) * 1024 / MB


def _cpu_s(pid: int) -> float:
    """Return user and system time: the 14th and 15th field of its line; the name before them may hold spaces."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
