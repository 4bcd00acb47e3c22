"""How the shelf is now."""

from dataclasses import dataclass

from station.domain.alert import Alert
from station.domain.conditions import State
from station.domain.outlook import Outlook
from station.domain.readings import Reading


@dataclass(frozen=True, slots=True)
class Present:
    """How the shelf is now, as the station last wrote it.

    Args:
        reading: the latest, or None.
        conditions: where each condition stands.
        alerts: the open ones.
        outlooks: what the station thinks of the jars that were asked for, by id.
    """

    reading: Reading | None
    conditions: tuple[State, ...]
    alerts: tuple[Alert, ...]
    outlooks: dict[str, Outlook]
