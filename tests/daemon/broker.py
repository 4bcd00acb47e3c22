"""A real broker for the tests: mosquitto on a free loopback port, run with the very files that a Pi gets."""

import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from station.ports import Message

FILES = Path(__file__).resolve().parents[2] / "systemd" / "mosquitto"
PASSWORDS = {"jarside": "nettle-7", "jarside-reader": "look-only", "jarside-remote": "wet-hands"}
PROGRAM = shutil.which("mosquitto") or ("/usr/sbin/mosquitto" if Path("/usr/sbin/mosquitto").exists() else None)


def free_port() -> int:
    """Return a port of the loopback that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def until(true: Callable[[], object], within_s: float = 60.0) -> bool:
    """Return whether `true()` becomes true within the time; looks a hundred times a second."""
    end_s = time.monotonic() + within_s
    while not true():
        if time.monotonic() > end_s:
            return False
        time.sleep(0.01)
    return True


def replaced(text: str, old: str, new: str) -> str:
    """Replace `old`, which must be there: a test that no longer runs the file it means must fail."""
    assert old in text, f"{old!r} is not in the broker's configuration"
    return text.replace(old, new)


class Broker:
    """One mosquitto in a folder of its own; it may be stopped, killed, frozen and started again on the same port.

    The main file is the one of Debian in short (persistence, then the folder with further files); everything else is
    `systemd/mosquitto/`, with only the port and the folder changed.
    """

    def __init__(self, more: str = "") -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="jarside-broker-"))
        self.port = free_port()
        self.tls_port = 0
        self._process: subprocess.Popen[bytes] | None = None
        (self.folder / "conf.d").mkdir()
        (self.folder / "data").mkdir()
        self._main(more)
        self._write("conf.d/jarside.conf", self._plain((FILES / "jarside.conf").read_text()))
        self._write("jarside.acl", (FILES / "jarside.acl").read_text())
        self.passwords(PASSWORDS)

    def passwords(self, known: dict[str, str]) -> None:
        """Let these users in."""
        self._write("jarside.passwd", "".join(f"{name}:{password}\n" for name, password in known.items()))
        subprocess.run(["mosquitto_passwd", "-U", str(self.folder / "jarside.passwd")], check=True)
        self._own()

    def with_tls(self, certificate: Path, key: Path) -> "Broker":
        """Open the second door that the file describes in its comments."""
        self.tls_port = free_port()
        text = (self.folder / "conf.d/jarside.conf").read_text()
        text = replaced(text, "#listener 8883", f"listener {self.tls_port} 127.0.0.1")
        text = replaced(text, f"#certfile {self.folder}/certs/jarside.crt", f"certfile {certificate}")
        text = replaced(text, f"#keyfile {self.folder}/certs/jarside.key", f"keyfile {key}")
        self._write("conf.d/jarside.conf", replaced(text, "#tls_version", "tls_version"))
        return self

    def start(self) -> "Broker":
        """Start it and wait until it listens."""
        self._own()
        log = (self.folder / "log").open("ab")
        with log:
            arguments = [str(PROGRAM), "-c", str(self.folder / "mosquitto.conf")]
            self._process = subprocess.Popen(arguments, stdout=log, stderr=log)
        assert until(self._listens), self.log()
        return self

    def stop(self) -> None:
        """End it politely; it writes its state."""
        self._end(signal.SIGTERM)

    def kill(self) -> None:
        """End it at once; what it had not yet written is lost."""
        self._end(signal.SIGKILL)

    def freeze(self) -> None:
        """Stop it in its tracks: its connections stay open and nothing answers."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Let it go on."""
        self._signal(signal.SIGCONT)

    def forget(self) -> None:
        """Remove what a stopped broker has kept."""
        for kept in (self.folder / "data").iterdir():
            kept.unlink()

    def log(self) -> str:
        """What it has said so far."""
        return (self.folder / "log").read_text(errors="replace")

    def close(self) -> None:
        """End it and remove its folder."""
        self._end(signal.SIGKILL)
        shutil.rmtree(self.folder, ignore_errors=True)

    def _main(self, more: str) -> None:
        kept = f"persistence true\npersistence_location {self.folder}/data/\n"
        self._write("mosquitto.conf", f"{kept}log_dest stderr\n{more}include_dir {self.folder}/conf.d\n")

    def _plain(self, text: str) -> str:
        text = replaced(text, "listener 1883 127.0.0.1", f"listener {self.port} 127.0.0.1")
        return replaced(text, "/etc/mosquitto", str(self.folder))

    def _write(self, name: str, text: str) -> None:
        (self.folder / name).write_text(text)

    def _own(self) -> None:
        if os.geteuid() == 0:  # mosquitto started by root runs as its own user
            user = pwd.getpwnam("mosquitto")
            for path in (self.folder, *self.folder.rglob("*")):
                os.chown(path, user.pw_uid, user.pw_gid)

    def _listens(self) -> bool:
        assert self._process is not None
        assert self._process.poll() is None, self.log()
        with socket.socket() as probe:
            return probe.connect_ex(("127.0.0.1", self.port)) == 0

    def _signal(self, number: int) -> None:
        if self._process is not None:
            self._process.send_signal(number)

    def _end(self, number: int) -> None:
        if self._process is not None:
            self._process.send_signal(number)
            self._process.wait(5)
            self._process = None


def numbered(number: int, message: Message) -> Message:
    """Return a message as the outbox gives it out: with a number."""
    return replace(message, id=number)
