"""Brokers for the tests of this folder."""

import os
from collections.abc import Callable, Iterator

import pytest

from tests.daemon.broker import PROGRAM, Broker


@pytest.fixture
def make_broker() -> Iterator[Callable[..., Broker]]:
    """Make brokers, not yet started, which end with the test."""
    if PROGRAM is None:
        if os.environ.get("CI") == "true":
            pytest.fail("mosquitto is not installed")
        pytest.skip("mosquitto is not installed")
    made: list[Broker] = []

    def make(more: str = "") -> Broker:
        made.append(Broker(more))
        return made[-1]

    yield make
    for broker in made:
        broker.close()


@pytest.fixture
def broker(make_broker: Callable[..., Broker]) -> Broker:
    """A broker that runs."""
    return make_broker().start()
