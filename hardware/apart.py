"""A part whose driver runs in a process of its own, so that nothing it does can stop the station.

A driver that hangs is killed after a deadline, which also frees its pin, and a fresh one is started: at once the first
time, then after rests that double up to five minutes. One process for each part, never two: if the kernel cannot end
one (it waits inside a device), no other is started until it has gone. So memory stays flat however long a part is dead.

A thread would cost less memory (a reader takes 20 to 25 MB), but a thread that hangs can be neither ended nor made to
let go of its pin, and it shares the interpreter's lock with the network, which spoils the timing of a DHT.
"""

import sys
import time
from collections.abc import Callable, Sequence

from hardware.lines import answered, opened, part_line
from hardware.link import Link
from hardware.parts import Part, adapter_of
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample

DEADLINE_S = 3.0
"""The slowest part, a photoresistor in the dark, takes half a second."""
START_S = 30.0
"""Importing a driver takes some 3 s on the smallest Pi."""
RESTS_S = (0.0, 10.0, 20.0, 40.0, 80.0, 160.0, 300.0)
"""How long to wait before the next start, by how many ended in a row without an answer."""
GOODBYE_S = 0.5


class Apart:
    """A sensor that is read in another process.

    Args:
        name: its name in the settings.
        spacing_s: least seconds between two questions.
        command: what starts the reader; it speaks as `hardware.reader` does.
        deadline_s: how long an answer may take.
        start_s: how long a start may take.
        clock_s: a clock that never steps, seconds.
    """

    def __init__(
        self,
        name: str,
        spacing_s: float,
        command: Sequence[str],
        deadline_s: float = DEADLINE_S,
        start_s: float = START_S,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self.name = name
        self.spacing_s = spacing_s
        self._command = tuple(command)
        self._deadline_s = deadline_s
        self._start_s = start_s
        self._clock_s = clock_s
        self._open = False
        self._link: Link | None = None
        self._dying: Link | None = None
        self._ready = False
        self._failures = 0
        self._until_s = 0.0
        """While starting: when patience ends. While resting: when the rest does."""

    def open(self) -> None:
        """Start the reader and wait until its part is open.

        A driver that hangs or dies meanwhile is no reason for the station not to start: it is tried again like one that
        does so later.

        Raises:
            SensorError: no driver, no pins, no permission; the message says what to do.
        """
        self.close()
        self._open, self._failures = True, 0
        try:
            line = self._start().line(self._start_s)
            refusal = None if line is None else opened(line)
        except (OSError, EOFError, ValueError):
            self._failed(Reason.DIED)
            return
        if refusal is not None:
            self.close()
            raise refusal
        if line is None:
            self._failed(Reason.HUNG)
        self._ready = line is not None

    def sample(self) -> Sample | Miss:
        """Ask once: within the deadline, and next to nothing while the part is out of order."""
        if not self._open:
            return Miss(self.name, Reason.NOT_OPEN)
        if self._link is None:
            return Miss(self.name, self._rested())
        try:
            return self._asked(self._link) if self._ready else self._started(self._link)
        except (BrokenPipeError, EOFError):
            return self._failed(Reason.DIED)
        except ValueError:
            return self._failed(Reason.RUBBISH)

    def _asked(self, link: Link) -> Sample | Miss:
        link.ask()
        line = link.line(self._deadline_s)
        if line is None:
            return self._failed(Reason.HUNG)
        answer = answered(self.name, line)
        self._failures = 0
        return answer

    def _started(self, link: Link) -> Sample | Miss:
        """See whether a reader that was started meanwhile is ready, without waiting for it."""
        line = link.line(0.0)
        if line is None:
            return self._failed(Reason.HUNG) if self._clock_s() >= self._until_s else Miss(self.name, Reason.STARTING)
        if opened(line) is not None:
            return self._failed(Reason.REFUSED)
        self._ready = True
        return self._asked(link)

    def _rested(self) -> Reason:
        """Start a fresh reader when the rest is over and the old one has gone."""
        if self._clock_s() < self._until_s or (self._dying is not None and not self._dying.gone()):
            return Reason.RESTING
        self._dying = None
        try:
            self._start()
        except OSError:  # no memory, or no more processes
            self._failed(Reason.DIED)
            return Reason.DIED
        return Reason.STARTING

    def _start(self) -> Link:
        self._ready = False
        self._until_s = self._clock_s() + self._start_s
        self._link = Link(self._command)
        return self._link

    def _failed(self, reason: Reason) -> Miss:
        if self._link is not None:
            self._link.kill()
        self._link, self._dying = None, self._link
        self._until_s = self._clock_s() + RESTS_S[min(self._failures, len(RESTS_S) - 1)]
        self._failures += 1
        return Miss(self.name, reason)

    def close(self) -> None:
        """End the reader. May be called twice."""
        self._open = False
        for link in (self._link, self._dying):
            if link is not None:
                link.leave(GOODBYE_S)
        self._link = self._dying = None
        self._ready, self._until_s = False, 0.0


def apart(part: Part) -> Apart:
    """Return a part to be read in a process of its own."""
    spacing_s = adapter_of(part).spacing_s
    return Apart(part.name, spacing_s, (sys.executable, "-m", "hardware.reader", part_line(part)))
