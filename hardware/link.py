"""A process that is spoken to line by line, and can be ended at any time."""

import os
import select
import subprocess
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

LONGEST = 4096
"""Bytes of a line; whoever says more says rubbish."""
KILLED_S = 3.0
"""A killed process ends at once, on a busy machine within a second; one that waits inside a device is left behind."""
PACKAGES = Path(__file__).resolve().parents[1]


class Link:
    """A running process and the two pipes to it.

    Args:
        command: program and arguments.

    Raises:
        OSError: it cannot be started.
    """

    def __init__(self, command: Sequence[str]) -> None:
        self._buffer = b""
        its_in, self._asks = os.pipe()
        self._answers, its_out = os.pipe()
        self._pipes: tuple[int, ...] = (self._asks, self._answers)  # empty once closed: numbers are given again
        try:
            self._process = subprocess.Popen(  # noqa: S603 - the command is ours
                command,
                stdin=its_in,
                stdout=its_out,
                env={**os.environ, "PYTHONPATH": _search_path()},
                start_new_session=True,  # Ctrl-C on a terminal ends the station, and that ends this one
            )
        except OSError:
            self._hang_up()
            raise
        finally:
            os.close(its_in)
            os.close(its_out)

    def ask(self) -> None:
        """Send an empty line.

        Raises:
            BrokenPipeError: the process has ended.
        """
        os.write(self._asks, b"\n")

    def line(self, timeout_s: float) -> bytes | None:
        """Return the next line, or None when there is no whole one within `timeout_s` seconds of silence.

        Raises:
            EOFError: the process has ended.
            ValueError: the line is too long.
        """
        while b"\n" not in self._buffer:
            if not select.select([self._answers], [], [], timeout_s)[0]:
                return None
            chunk = os.read(self._answers, LONGEST)
            if not chunk:
                raise EOFError
            self._buffer += chunk
            if len(self._buffer) > LONGEST:
                raise ValueError("the line does not end")
        line, _, self._buffer = self._buffer.partition(b"\n")
        return line

    def kill(self) -> None:
        """End the process, however it hangs, and close the pipes. Does not wait."""
        self._process.kill()
        self._hang_up()

    def leave(self, patience_s: float) -> None:
        """Hang up, give the process a moment to let go of its pins, then end it."""
        self._hang_up()
        if not self._ends_within(patience_s):
            self._process.kill()
            self._ends_within(KILLED_S)

    def _ends_within(self, patience_s: float) -> bool:
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(patience_s)
        return self.gone()

    def gone(self) -> bool:
        """Whether the process has ended; it is reaped by this."""
        return self._process.poll() is not None

    def _hang_up(self) -> None:
        pipes, self._pipes = self._pipes, ()
        for pipe in pipes:
            os.close(pipe)


def _search_path() -> str:
    """Where the process finds this package, wherever it was started from."""
    return os.pathsep.join(filter(None, (str(PACKAGES), os.environ.get("PYTHONPATH"))))
