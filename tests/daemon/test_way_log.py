"""What the station's log says of its ways: over a real broker that comes and goes."""

from pathlib import Path

import pytest

from station.cli.way_log import WayLog
from tests.daemon.broker import PASSWORDS, Broker, until
from tests.daemon.listener import a_publisher
from tests.daemon.test_mqtt import send_commands
from tests.daemon.world import Stand, a_stand


@pytest.fixture
def said() -> list[str]:
    return []


def a_watched_stand(folder: Path, broker: Broker, said: list[str], password: str = PASSWORDS["jarside"]) -> Stand:
    publisher = a_publisher(broker, commands=True)
    (broker.folder / "password").write_text(password)
    stand = a_stand(folder, publisher=publisher)
    stand.station._on_minute = WayLog(said.append)
    return stand


def connected(stand: Stand) -> None:
    assert until(lambda: stand.live(1) and "Connected" in stand.station._delivery._ways[0].line)


def after(stand: Stand, said: list[str], count: int) -> list[str]:
    """Let minutes pass until this many lines were said, and some more."""
    assert until(lambda: stand.live(1) and len(said) >= count), said
    stand.live(5)
    return said


def test_a_broker_that_goes_and_comes_back_is_a_line_each(broker: Broker, tmp_path: Path, said: list[str]) -> None:
    stand = a_watched_stand(tmp_path, broker, said)
    connected(stand)
    assert said == []
    broker.kill()
    gone = after(stand, said, 1)[0]
    where = f"127.0.0.1:{broker.port}"
    assert gone.startswith("broker: ")
    assert where in gone
    assert until(lambda: stand.live(1) and f"broker: Nothing listens at {where}." in "".join(said))
    before = list(said)
    broker.start()
    assert after(stand, said, len(before) + 1)[len(before) :] == [f"broker works again: Connected to {where}."]
    stand.end()


def test_a_wrong_password_is_said_once_with_what_to_do_and_without_it(
    broker: Broker, tmp_path: Path, said: list[str]
) -> None:
    stand = a_watched_stand(tmp_path, broker, said, "a-wrong-one")
    assert after(stand, said, 1) == [
        f"broker: The broker at 127.0.0.1:{broker.port} refuses this user name and password. "
        "Correct mqtt.username and the password file, or set the password on the broker."
    ]
    assert not any(one in said[0] for one in ("a-wrong-one", *PASSWORDS.values()))
    stand.end()


def test_a_command_that_was_not_understood_is_said_once(broker: Broker, tmp_path: Path, said: list[str]) -> None:
    stand = a_watched_stand(tmp_path, broker, said)
    connected(stand)
    send_commands(broker, b"ack cold", b"ack sun")
    (line,) = after(stand, said, 1)
    assert "A command was not understood. Write it as {" in line
    stand.end()
