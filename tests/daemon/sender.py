"""A station as a process of its own that raises and clears an alert every few minutes and sends it to a broker.

Usage: python -m tests.daemon.sender FOLDER PORT PASSWORDFILE SPEED BOOTS
"""

import sys
from datetime import timedelta
from pathlib import Path

from sim.clocks import PacedClock
from sim.replay import NoSignal
from station.cli.watch_command import run
from station.clock import SystemClock
from station.config import Settings
from station.daemon import JudgedMinute, Station
from station.mqtt import MqttPublisher
from station.ports import Rig
from station.store.notebook import Notebook
from station.store.shelf_log import ShelfLog
from tests.builders import START
from tests.daemon.listener import STATION
from tests.daemon.test_delivery import on_and_off
from tests.daemon.world import ScriptedSensor

BETWEEN_BOOTS = timedelta(minutes=20)
"""So little that an alert is not open for the six hours after which it reminds, even if a few lives end at once."""


def main(folder: Path, port: int, password_file: Path, speed: float, boots: int) -> None:
    clock = PacedClock(START + boots * BETWEEN_BOOTS, SystemClock(), speed)
    for _ in range(boots):
        clock.reboot()
    settings = Settings.model_validate(
        {
            "station": STATION,
            "limits": {"silent_min": 2},
            "mqtt": {"host": "127.0.0.1", "port": port, "username": "jarside", "password_file": password_file},
        }
    )
    publisher = MqttPublisher(settings.mqtt, STATION, SystemClock(), first_retry_s=0.05, last_retry_s=0.2)

    def told(judged: JudgedMinute) -> None:
        print(len(judged.changes), flush=True)

    with Notebook.open(folder / "notebook.db") as notebook, ShelfLog.open(folder / "shelf.db") as log:
        rig = Rig(clock, (ScriptedSensor(clock, on_and_off()),), publisher, NoSignal())
        run(Station(settings, rig, log, notebook, told))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]), float(sys.argv[4]), int(sys.argv[5]))
