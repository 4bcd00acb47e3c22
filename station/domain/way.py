"""A way on which the station reaches people and programs, and how it is doing."""

import enum
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime


class WayState(enum.StrEnum):
    """How a way is doing."""

    OFF = "off"
    """Not set up."""
    WAITING = "waiting"
    """Set up, and neither known to work nor to fail yet."""
    WORKING = "working"
    TROUBLE = "trouble"
    NOT_KNOWN = "not known"
    """Set up, and the station is not there to say; never kept."""


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
        by_test: whether what last arrived was a test that a person sent.
    """

    name: str
    state: WayState
    line: str
    remedy: str = ""
    delivered_at: datetime | None = None
    waiting: int = 0
    by_test: bool = False


@dataclass(frozen=True, slots=True)
class Arrived:
    """A test that a person sent, and that arrived: on which way, and when, aware UTC."""

    way: str
    at: datetime


def heading(name: str) -> str:
    """Return the name of a way as a sentence begins with it."""
    return name[:1].upper() + name[1:]


BROKER = "broker"
"""The name of the way to the broker."""
_NO_BROKER = Way(BROKER, WayState.OFF, "No broker is set up.", "Set mqtt.host if programs are to hear of the shelf.")


def ways_shown(
    targets: Iterable[str],
    has_broker: bool,  # noqa: FBT001
    kept: Iterable[Way],
    tests: Iterable[Arrived],
) -> tuple[Way, ...]:
    """Return every way that the settings name, as the station last said it was doing.

    Args:
        targets: the names of the targets in the settings.
        has_broker: whether the settings name a broker.
        kept: the ways as the station kept them; those that are no longer in the settings are left out.
        tests: the latest test that arrived on each way, whatever the station knows.
    """
    known = {way.name: way for way in kept}
    tested_at = {one.way: one.at for one in tests}
    names = (BROKER, *targets) if has_broker else tuple(targets)
    shown = tuple(_tested(known.get(name, _unheard(name)), tested_at.get(name)) for name in names)
    return shown if has_broker else (_NO_BROKER, *shown)


def while_stopped(ways: Iterable[Way]) -> tuple[Way, ...]:
    """Return ways as they are while the station is not running: how those that are set up are doing is not known."""
    return tuple(way if way.state is WayState.OFF else _silenced(way) for way in ways)


def _silenced(way: Way) -> Way:
    return replace(way, state=WayState.NOT_KNOWN, line="The station is not running.", remedy="")


def _tested(way: Way, at: datetime | None) -> Way:
    """Return a way on which a test arrived at `at`, if that is later than all that the station sent."""
    if at is None or (way.delivered_at is not None and way.delivered_at >= at):
        return way
    return replace(way, delivered_at=at, by_test=True)


def _unheard(name: str) -> Way:
    return Way(name, WayState.WAITING, f"The station has not used {name} yet.", "Start or restart jarside watch.")
