"""A way on which the station reaches people and programs, and how it is doing."""

import enum
from dataclasses import dataclass
from datetime import datetime


class WayState(enum.StrEnum):
    """How a way is doing."""

    OFF = "off"
    """Not set up."""
    WAITING = "waiting"
    """Set up, and neither known to work nor to fail yet."""
    WORKING = "working"
    TROUBLE = "trouble"


@dataclass(frozen=True, slots=True)
class Way:
    """One way out and how it is doing. Holds no address with a secret in it, and no password.

    Args:
        name: what people call it, such as `broker` or the name of a target in the settings.
        state: how it is doing.
        line: one plain sentence about it.
        remedy: what to do about it, as a sentence; "" if there is nothing to do.
        delivered_at: when something last arrived on it, aware UTC, or None.
    """

    name: str
    state: WayState
    line: str
    remedy: str = ""
    delivered_at: datetime | None = None
