"""A station as a process of its own, over a simulated shelf that runs a few hundred times as fast as a real one.

Usage: python -m tests.daemon.child FOLDER SPEED [BOOTS]
"""

import sys
from pathlib import Path

from sim.rig import rig_of, settings_of
from sim.scenario import load
from station.cli.watch_command import good_minute, run
from station.clock import SystemClock
from station.daemon import JudgedMinute, Station
from station.domain.readings import Reading
from station.ports import Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog


def minute_of(reading: Reading) -> str:
    """Return the boot and the millisecond of a reading, as exactly as it is kept: whole seconds could round apart."""
    return f"{reading.boot_id} {reading.boot_s * 1000.0:.0f}"


def main(folder: Path, speed: float, boots: int) -> None:
    scenario = load("ordinary-kitchen")
    rig = rig_of(scenario, SystemClock(), speed)
    for _ in range(boots):
        rig.clock.reboot(300.0)

    def told(judged: JudgedMinute) -> None:
        good_minute(judged)
        if judged.minute.reading is not None:
            print(minute_of(judged.minute.reading), flush=True)

    with Notebook.open(folder / "notebook.db") as notebook, ShelfLog.open(folder / "shelf.db") as log:
        quiet = Rig(rig.clock, rig.sensors, None, rig.signal)
        run(Station(settings_of(scenario), quiet, log, notebook, told))


if __name__ == "__main__":
    main(Path(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else 0)
