"""What every page and every answer needs: the settings, the two files, and the time."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from dashboard.books import Books
from dashboard.latest import Latest
from dashboard.lent import NOTHING, Lent
from dashboard.records import Records
from dashboard.views.manner import Manner
from station.config import Settings
from station.domain.heartbeat import has_stopped
from station.domain.sentences import not_writing
from station.domain.way import Arrived, Way, ways_shown, while_stopped
from station.store.way_tests import arrivals


@dataclass(frozen=True, slots=True)
class Desk:
    """Handed to the pages once, when the app is made.

    Args:
        settings: all settings.
        manner: what pages need of them, worked out.
        books: the shelf log and the notebook.
        now: the present, aware UTC; a simulated shelf has its own.
        version: of this program.
        notice: a sentence over every page, such as that the shelf is simulated; may be empty.
        lent: what the pages do with the help of other layers.
        tests: the latest test of the ways, whoever sent it.
        backups: the latest backup, whoever asked for it.
    """

    settings: Settings
    manner: Manner
    books: Books
    now: Callable[[], datetime]
    version: str
    notice: str
    lent: Lent = NOTHING
    tests: Latest[tuple[Way, ...]] = field(default_factory=Latest)
    backups: Latest[Path] = field(default_factory=Latest)

    @property
    def records(self) -> Records:
        """What was recorded beside jars."""
        return Records(self.books)

    def stopped(self) -> str:
        """Say that the station has stopped, and since when; "" while it writes, and before its first minute."""
        now_at, latest = self.now(), self.books.shelf.latest()
        if latest is None or not has_stopped(latest.measured_at, now_at):
            return ""
        return not_writing(latest.measured_at, now_at, self.manner.zone)

    def ways(self) -> tuple[Way, ...]:
        """Return the ways to people and programs that the settings name, as the station or a test last found them."""
        names = [target.name for target in self.settings.notify]
        tests: tuple[Arrived, ...] = self.books.remembered(arrivals, ())
        shown = ways_shown(names, self.settings.mqtt.host is not None, self.books.shelf.ways(), tests)
        return while_stopped(shown) if self.stopped() else shown
