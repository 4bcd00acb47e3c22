"""What the pages ask of the notebook beside jars: functions of a module, so that their answers are remembered."""

from station.domain.bottling import BottleEntry
from station.domain.feeding import Fed
from station.domain.plants import Plant
from station.domain.rounds import Round
from station.domain.trials import Trial
from station.store.bottles import Bottles
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from station.store.rounds import Rounds
from station.store.trials import Trials


def told_bottles(notebook: Notebook) -> tuple[tuple[BottleEntry, ...], ...]:
    """Return the entries of every bottle."""
    return Bottles(notebook).told()


def feedings(notebook: Notebook) -> tuple[Fed, ...]:
    """Return all feedings, the latest first."""
    return Feedings(notebook).feedings()


def rounds(notebook: Notebook) -> tuple[Round, ...]:
    """Return every round with what was done of it."""
    return Rounds(notebook).rounds(feedings(notebook))


def trials(notebook: Notebook) -> tuple[Trial, ...]:
    """Return every trial, in order of recording."""
    return Trials(notebook).trials()


def own_plants(notebook: Notebook) -> tuple[Plant, ...]:
    """Return the grower's own plants."""
    return OwnPlants(notebook).plants()
