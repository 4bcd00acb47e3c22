"""A season's store for the pages' tests: bottles, feedings, rounds and trials, written by the stores."""

from datetime import datetime, timedelta
from pathlib import Path

from station.domain.bottling import Drawn, Filled, LidClosed
from station.domain.feeding import Fed, Method
from station.domain.jars import Strained
from station.domain.rounds import RoundSet
from station.domain.storage import Storage
from station.domain.trials import Arm, Counted, Sown, Trial
from station.store.bottles import Bottles, Fill
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.rounds import Rounds
from station.store.trials import Trials
from tests.dashboard.world import Shelf, at

NOW = at(30, hours=1)
"""When the store is looked at: Wednesday 3 June 2026, 08:00 in Lisbon."""


def a_pantry(folder: Path) -> Shelf:
    """Two bottles of comfrey, one of borage as good as new, a gift, a round that is due, feedings and a trial."""
    pantry = Shelf(folder, now_at=NOW)
    comfrey = pantry.pack("comfrey", at(0))
    borage = pantry.pack("borage", at(20))
    pantry.record(Strained(comfrey.id, at(6)), Strained(borage.id, at(26)))
    with Notebook.open(folder / "notebook.db") as notebook:
        _bottles(notebook, comfrey.id, borage.id)
        _feedings(notebook)
        _sow(notebook)
    return pantry


def _bottles(notebook: Notebook, comfrey: str, borage: str) -> None:
    bottles = Bottles(notebook)
    bottles.bottle_jar(comfrey, [Fill(160.0, 250.0), Fill(160.0, 250.0)], at(7), now_at=NOW)
    bottles.record(LidClosed("comfrey-1-b", at(22)), now_at=NOW)
    bottles.record(Drawn("comfrey-1-a", at(9), 40.0, note="for a neighbour"), now_at=NOW)
    bottles.bottle_jar(borage, [Fill(200.0, 330.0)], at(27), now_at=NOW, storage=Storage.ROOM)
    bottles.fill([Fill(500.0, 1000.0)], Filled("", at(12), "", "horsetail", 0.0, note="a gift"), now_at=NOW)


def _feedings(notebook: Notebook) -> None:
    rounds, feedings = Rounds(notebook), Feedings(notebook)
    beans = rounds.set_up(RoundSet("", at(10), Method.LEAF_SPRAY, "beans", water_ml=5000.0), now_at=NOW)
    rounds.set_up(RoundSet("", at(29), Method.DRENCH, "tomatoes", 14, 21), now_at=NOW)
    for day in (12, 22):
        fed = Fed("", at(day, hours=1), Method.LEAF_SPRAY, 10.0, 5000.0, "beans", "comfrey-1-a", beans.id)
        feedings.feed(fed, now_at=NOW)
    feedings.feed(a_soak(at(30, minutes=50)), now_at=NOW)


def a_soak(from_at: datetime, until_at: datetime | None = None) -> Fed:
    """Lettuce seeds that went into diluted juice."""
    return Fed("", from_at, Method.SEED_SOAK, 0.2, 100.0, "lettuce seeds", "comfrey-1-b", until_at=until_at)


def _sow(notebook: Notebook) -> Trial:
    """Lettuce, soaked and plain, two dishes each, counted on the third and the sixth day."""
    trials = Trials(notebook)
    arms = (Arm("soaked", (20, 20)), Arm("plain", (20, 20)))
    found = trials.sow(Sown("", at(20), "lettuce", arms, "plain", "comfrey-1-a", "1 to 500, 20 minutes"), now_at=NOW)
    for day, counts in ((23, (7, 6, 2, 4)), (26, (17, 18, 11, 12))):
        counted_at = at(20) + timedelta(days=day - 20, hours=2)
        places = [(arm.name, dish) for arm in arms for dish in (1, 2)]
        entries = [
            Counted(found.id, counted_at, arm, count, dish) for (arm, dish), count in zip(places, counts, strict=True)
        ]
        found = trials.record(*entries, now_at=NOW)
    return found
