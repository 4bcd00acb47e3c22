"""A test message through every way that the settings name, beside the station that runs: what happened to each.

And, without sending anything: which of them could take none.
"""

from collections.abc import Callable
from dataclasses import replace
from secrets import token_hex

from station import messages
from station.config import Settings
from station.domain.way import BROKER, Way, WayState, heading
from station.ports import Clock

BROKER_WITHIN_S = 15.0
TARGET_WITHIN_S = 75.0
"""A little more than a message to a target may take."""
LOOK_EVERY_S = 0.05
TEXT = "A test of Jarside: if you can read this, alerts reach you."


def rehearsed(settings: Settings, clock: Clock) -> tuple[Way, ...]:
    """Send a test through every way and wait for what becomes of it.

    Args:
        settings: which ways there are.
        clock: a real one.

    Returns:
        The broker first, if one is set up, then the targets in the order of the settings; `working` if the test
        arrived, else `trouble` with the reason and the remedy. Empty if no way is set up.
    """
    broker = () if settings.mqtt.host is None else (_broker(settings, clock),)
    return (*broker, *(_targets(settings, clock) if settings.notify else ()))


def unusable(settings: Settings, clock: Clock) -> tuple[Way, ...]:
    """Return the targets to which nothing can be sent as the settings are: no library, or an address not understood.

    Args:
        settings: which targets there are.
        clock: a real one.
    """
    from station.notify import PeoplePublisher

    publisher = PeoplePublisher(settings.notify, "", clock)
    try:
        _wait(lambda: publisher.acknowledged() or publisher.checked, TARGET_WITHIN_S * len(settings.notify), clock)
        return tuple(way for way in publisher.ways() if way.state is WayState.TROUBLE)
    finally:
        publisher.close()


def _broker(settings: Settings, clock: Clock) -> Way:
    from station.mqtt import MqttPublisher  # only with a broker: paho takes memory

    publisher = MqttPublisher(settings.mqtt, settings.station, clock, guest=True)
    message = replace(messages.test(TEXT, token_hex(8), clock.now()), id=1)
    arrived: list[int] = []

    def settled() -> bool:
        publisher.offer(message)
        arrived.extend(publisher.acknowledged())
        return bool(arrived) or publisher.way().state is WayState.TROUBLE

    try:
        _wait(settled, BROKER_WITHIN_S, clock)
        return _arrived(BROKER) if arrived else _not(publisher.way())
    finally:
        publisher.close()


def _targets(settings: Settings, clock: Clock) -> tuple[Way, ...]:
    from station.notify import PeoplePublisher

    publisher = PeoplePublisher(settings.notify, f"Jarside {settings.station}", clock, once=True)
    for number, target in enumerate(settings.notify, 1):
        publisher.offer(replace(messages.for_person(target.name, TEXT, clock.now()), id=number))

    def settled() -> bool:
        publisher.acknowledged()
        return not any(way.state is WayState.WAITING for way in publisher.ways())

    try:
        _wait(settled, TARGET_WITHIN_S * len(settings.notify), clock)
        return tuple(_arrived(one.name) if one.state is WayState.WORKING else _not(one) for one in publisher.ways())
    finally:
        publisher.close()


def _wait(settled: Callable[[], object], within_s: float, clock: Clock) -> None:
    end_s = clock.boottime_s() + within_s
    while not settled() and clock.boottime_s() < end_s:
        clock.sleep(LOOK_EVERY_S)


def _arrived(name: str) -> Way:
    return Way(name, WayState.WORKING, f"{heading(name)} took the test.")


def _not(way: Way) -> Way:
    if way.state is WayState.TROUBLE:
        return way
    return replace(
        way, state=WayState.TROUBLE, line=f"{heading(way.name)} did not answer in time.", remedy="Try again later."
    )
