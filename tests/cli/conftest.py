"""The brokers of tests/daemon, for the commands that need one, and the year in which all is read."""

from datetime import UTC, datetime

import pytest

from tests.daemon.conftest import broker, make_broker

__all__ = ["broker", "make_broker"]


@pytest.fixture(autouse=True)
def in_2026(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let dates be read in the year of the tests' own dates, so that they stay the same in years to come."""
    monkeypatch.setattr("station.cli.now", lambda: datetime(2026, 12, 1, tzinfo=UTC))
