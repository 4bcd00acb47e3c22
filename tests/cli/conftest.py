"""The brokers of tests/daemon, for the commands that need one."""

from tests.daemon.conftest import broker, make_broker

__all__ = ["broker", "make_broker"]
