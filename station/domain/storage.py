"""Where juice is kept, and for how long it keeps there."""

import enum
from dataclasses import dataclass
from datetime import timedelta


class Storage(enum.StrEnum):
    """Where a bottle stands."""

    COOL = "cool"
    """1 to 15 °C and dark: a cellar or a refrigerator."""
    ROOM = "room"

    @property
    def words(self) -> str:
        """As people read it, on pages, labels and in the shell: "kept cool and dark"."""
        return "cool and dark" if self is Storage.COOL else "at room temperature"


@dataclass(frozen=True, slots=True)
class Keeping:
    """How many days juice keeps.

    Args:
        cool_days: at 1 to 15 °C; a year (natural-farming teaching texts).
        room_days: at room temperature; 30 days (the same).
    """

    cool_days: float = 365.0
    room_days: float = 30.0

    def span(self, storage: Storage) -> timedelta:
        """Return how long juice keeps in a place."""
        return timedelta(days=self.cool_days if storage is Storage.COOL else self.room_days)


KEEPING = Keeping()
