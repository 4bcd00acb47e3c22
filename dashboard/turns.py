"""What takes long is done one at a time, and few wait for it: each that waits keeps a thread from the other pages."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore, Lock

from station.errors import JarsideError

MOST_AT_ONCE = 4
"""So many may have asked for it, with the one whose turn it is."""


class BusyError(JarsideError):
    """There is too much to do already; a while later there will not be."""


class Turns:
    """Gives turns to several threads."""

    def __init__(self) -> None:
        self._one = Lock()
        self._room = BoundedSemaphore(MOST_AT_ONCE)

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Wait for a turn, and have it.

        Raises:
            BusyError: too many wait already.
        """
        if not self._room.acquire(blocking=False):
            raise BusyError("too many have asked for this at once", "Ask again in a minute or two.")
        try:
            with self._one:
                yield
        finally:
            self._room.release()
