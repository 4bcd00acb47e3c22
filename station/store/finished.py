"""What was worked out of finished stretches of the shelf log, kept from one question to the next.

A log is only added to: what ends before its newest hour stays as it is. It changes after all when readings are dated
again, or come in from elsewhere, or when the file is replaced; then everything is forgotten. Alerts stay as they are
until one of them is raised or changed, which is counted.
"""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from threading import Lock

MOST = 2000
"""So much is kept: four times what the climate page shows in all its spans."""
FRONTIER = "SELECT times, (SELECT max(hour) FROM hours), alerts FROM rewrites"


@dataclass(frozen=True, slots=True)
class Frontier:
    """How far a log is finished.

    Args:
        file: which file it is.
        rewrites: how often something finished was changed after all, from a number of the log's own.
        until_ms: the beginning of its newest hour, in milliseconds since 1970.
        alerts: how often an alert was raised or changed.
    """

    file: int
    rewrites: int
    until_ms: int
    alerts: int = 0

    def follows(self, other: "Frontier") -> bool:
        """Whether everything that was finished at another time still is, unchanged."""
        return (self.file, self.rewrites) == (other.file, other.rewrites) and self.until_ms >= other.until_ms


class Finished:
    """Answers about finished stretches, by what was asked; None where nothing was measured. Threads may share it."""

    def __init__(self) -> None:
        self._frontier: Frontier | None = None
        self._answers: dict[Hashable, object] = {}
        self._lock = Lock()

    def known(self, frontier: Frontier) -> Mapping[Hashable, object]:
        """Return every answer that is still right; to be looked at, not changed.

        Args:
            frontier: how far the log is finished, read before anything else is asked.
        """
        with self._lock:
            if self._frontier is None or not frontier.follows(self._frontier):
                self._answers = {}
            self._frontier = frontier
            return self._answers

    def keep(self, frontier: Frontier, answers: Mapping[Hashable, object]) -> None:
        """Keep answers, unless the log was rewritten since its frontier was read."""
        with self._lock:
            if self._frontier is not None and self._frontier.follows(frontier):
                room = len(self._answers) + len(answers) <= MOST
                self._answers = {**self._answers, **answers} if room else dict(answers)
