"""A station at real pace whose one sensor follows a script: `jarside watch` without pins.

Usage: python -m tests.bench.scripted FOLDER
"""

import sys
from pathlib import Path

from hardware.rig import rig_of
from station.cli.watch_command import good_minute, run
from station.clock import SystemClock
from station.daemon import Station
from station.domain.readings import Sample
from station.ports import Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from tests.bench.kitchens import SETTINGS, values


class ScriptedSensor:
    """Answers at once with what the kitchen's next minute holds."""

    name = "shelf"
    spacing_s = 2.1

    def __init__(self) -> None:
        self._asked = 0

    def open(self) -> None:
        """Nothing to open."""

    def sample(self) -> Sample:
        self._asked += 1
        now = values(self._asked)
        return Sample(self.name, now.temp_c, now.rh_pct, now.light_lx)

    def close(self) -> None:
        """Nothing to close."""


def main(folder: Path) -> None:
    pi = rig_of(SETTINGS, SystemClock())
    rig = Rig(pi.clock, (ScriptedSensor(),), pi.publisher, pi.signal)
    with Notebook.open(folder / "notebook.db") as notebook, ShelfLog.open(folder / "shelf.db") as log:
        run(Station(SETTINGS, rig, log, notebook, good_minute))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
