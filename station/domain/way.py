"""A way on which the station reaches people and programs, and how it is doing."""

import enum
from collections.abc import Iterable
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
        waiting: how many messages wait for it.
    """

    name: str
    state: WayState
    line: str
    remedy: str = ""
    delivered_at: datetime | None = None
    waiting: int = 0


BROKER = "broker"
"""The name of the way to the broker."""
_NO_BROKER = Way(BROKER, WayState.OFF, "No broker is set up.", "Set mqtt.host if programs are to hear of the shelf.")


def ways_shown(targets: Iterable[str], has_broker: bool, kept: Iterable[Way]) -> tuple[Way, ...]:  # noqa: FBT001
    """Return every way that the settings name, as the station last said it was doing.

    Args:
        targets: the names of the targets in the settings.
        has_broker: whether the settings name a broker.
        kept: the ways as the station kept them; those that are no longer in the settings are left out.
    """
    known = {way.name: way for way in kept}
    broker = known.get(BROKER, _unheard(BROKER)) if has_broker else _NO_BROKER
    return (broker, *(known.get(name, _unheard(name)) for name in targets))


def _unheard(name: str) -> Way:
    return Way(name, WayState.WAITING, f"The station has not used {name} yet.", "Start or restart jarside watch.")
