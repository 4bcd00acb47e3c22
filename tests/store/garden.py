"""A notebook with a jar that is ready to be bottled, for the tests of what comes after it."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from station.domain.feeding import Fed, Method
from station.domain.jars import Strained
from station.store.bottles import Bottles, Fill
from station.store.notebook import Notebook
from tests.builders import START

NOW = START + timedelta(days=30)


def day(days: float) -> datetime:
    return START + timedelta(days=days)


def a_notebook(folder: Path) -> Notebook:
    return Notebook.open(folder / "notebook.db")


def a_strained_jar(notebook: Notebook, plant: str = "comfrey") -> str:
    jar = notebook.pack(plant, START, 1000.0, now_at=NOW, plant_g=125.0, sugar_g=125.0)
    return notebook.record(Strained(jar.id, day(6)), now_at=NOW).id


def a_bottled_jar(notebook: Notebook, *volumes_ml: float, **how: Any) -> str:
    jar_id = a_strained_jar(notebook)
    fills = [Fill(volume_ml, volume_ml * 1.5) for volume_ml in volumes_ml or (200.0,)]
    Bottles(notebook).bottle_jar(jar_id, fills, day(6.5), now_at=NOW, **how)
    return jar_id


def a_feeding(**changes: Any) -> Fed:
    return replace(Fed("", day(8), Method.DRENCH, 20.0, 10000.0, "beans", "comfrey-1-a"), **changes)
