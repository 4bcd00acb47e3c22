"""The grower's own plants in the notebook."""

import sqlite3
from datetime import datetime
from typing import Annotated

from pydantic import Field, TypeAdapter

from station.domain.own_plants import PlantAdded, PlantDropped, PlantEntry, own_plant_from
from station.domain.plants import Plant
from station.store.ids import chosen
from station.store.notebook import Notebook
from station.store.records import Noun
from station.store.times import after_all
from station.store.tokens import made_by, spend

PLANTS: Noun[PlantEntry] = Noun(
    "plant",
    TypeAdapter(Annotated[PlantEntry, Field(discriminator="kind")]),
    lambda entry: entry.name,
    "jarside plants --own",
    "Plants",
)


class OwnPlants:
    """The plants that the grower added."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook

    def add(self, plant: Plant, *, now_at: datetime, token: str = "") -> None:
        """Keep a plant; one of the same name is replaced.

        Args:
            plant: what is known of it.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.
        """
        name = plant.name.casefold()
        with self._notebook.writing() as connection:
            if made_by(connection, token) is None:
                PLANTS.keep(connection, PlantAdded(name, _after(connection, name, now_at), plant), now_at)
                spend(connection, token, name)

    def drop(self, name: str, *, now_at: datetime, token: str = "") -> str:
        """Take a plant off the list and return its name; jars of it stay as they are.

        Args:
            name: the plant's name or an unambiguous beginning of it.
            now_at: the present, aware.
            token: unique for one form; a second call with it changes nothing.

        Raises:
            NotebookError: it is not among the grower's own.
        """
        with self._notebook.writing() as connection:
            if (dropped := made_by(connection, token)) is not None:
                return dropped
            wanted = chosen(name.strip().casefold(), _listed(connection), PLANTS.name, PLANTS.listing, PLANTS.page)
            PLANTS.keep(connection, PlantDropped(wanted, _after(connection, wanted, now_at)), now_at)
            spend(connection, token, wanted)
            return wanted

    def plants(self) -> tuple[Plant, ...]:
        """Return the grower's own plants in alphabetical order."""
        with self._notebook.reading() as connection:
            found = (own_plant_from(entries) for entries in PLANTS.every(connection))
            return tuple(sorted((plant for plant in found if plant is not None), key=lambda plant: plant.name))


def _listed(connection: sqlite3.Connection) -> list[str]:
    """Return the names of those that were not dropped."""
    return sorted(entries[0].name for entries in PLANTS.every(connection) if own_plant_from(entries) is not None)


def _after(connection: sqlite3.Connection, name: str, at: datetime) -> datetime:
    known = name in PLANTS.names(connection)
    return after_all(at, (one.at for one in PLANTS.entries(connection, name)) if known else ())
