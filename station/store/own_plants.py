"""The grower's own plants in the notebook."""

import sqlite3
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.own_plants import PlantAdded, PlantDropped, PlantEntry, own_plant_from
from station.domain.plants import Plant
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.times import after_all

PLANTS: Noun[PlantEntry] = Noun(
    "plant",
    TypeAdapter(Annotated[PlantEntry, Field(discriminator="kind")]),
    lambda entry: entry.name,
    "jarside plants --own",
)


class OwnPlants:
    """The plants that the grower added."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def add(self, plant: Plant, *, now_at: datetime) -> None:
        """Keep a plant; one of the same name is replaced."""
        name = plant.name.casefold()
        with self._notebook.writing() as connection:
            PLANTS.keep(connection, PlantAdded(name, _after(connection, name, now_at), plant), now_at)

    def drop(self, name: str, *, now_at: datetime) -> str:
        """Take a plant off the list and return its name; jars of it stay as they are.

        Raises:
            NotebookError: it is not among the grower's own.
        """
        with self._notebook.writing() as connection:
            wanted = PLANTS.chosen(connection, name.casefold())
            PLANTS.keep(connection, PlantDropped(wanted, _after(connection, wanted, now_at)), now_at)
            return wanted

    def plants(self) -> tuple[Plant, ...]:
        """Return the grower's own plants in alphabetical order."""
        with self._notebook.reading() as connection:
            found = (own_plant_from(entries) for entries in PLANTS.every(connection))
            return tuple(sorted((plant for plant in found if plant is not None), key=lambda plant: plant.name))


def _after(connection: sqlite3.Connection, name: str, at: datetime) -> datetime:
    known = name in PLANTS.names(connection)
    return after_all(at, (one.at for one in PLANTS.entries(connection, name)) if known else ())
