"""What goes wrong between a station and its broker for reasons that a person can put right: one clear line each."""

import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from station.config import MqttSettings
from station.domain.way import Way, WayState
from station.errors import SettingsError
from station.settings_file import load
from tests.daemon.broker import PASSWORDS, Broker
from tests.daemon.listener import Outbox, a_publisher

Make = Callable[..., Broker]
Connect = Callable[..., Outbox]


@pytest.fixture
def connect() -> Iterator[Connect]:
    """Make an outbox with its publisher, which ends with the test."""
    made: list[Outbox] = []

    def make(broker: Broker, **changes: Any) -> Outbox:
        made.append(Outbox(a_publisher(broker, **changes)))
        made[-1].put("alerts/cold", retain=True)
        return made[-1]

    yield make
    for one in made:
        one.publisher.close()


def trouble(outbox: Outbox) -> Way:
    """Return how the way is doing, once it is in trouble. No password may be in it."""
    assert outbox.until(lambda: outbox.publisher.way().state is WayState.TROUBLE)
    way = outbox.publisher.way()
    assert way.line.endswith(".")
    assert way.remedy.endswith(".")
    assert not any(password in repr(way) for password in PASSWORDS.values())
    return way


def test_a_wrong_password_is_said_and_put_right_without_a_restart(broker: Broker, connect: Connect) -> None:
    outbox = connect(broker)
    file = broker.folder / "password"
    file.write_text("wrong-password")
    way = trouble(outbox)
    assert "refuses this user name and password" in way.line
    assert "wrong-password" not in repr(way)
    assert outbox.sent == []
    file.write_text(PASSWORDS["jarside"])
    assert outbox.empties()
    assert outbox.publisher.way().state is WayState.WORKING


def test_a_broker_that_lets_nobody_in_without_a_password_says_so(broker: Broker, connect: Connect) -> None:
    outbox = connect(broker, username=None, password_file=None)
    assert "refuses this user name and password" in trouble(outbox).line


def test_a_missing_password_file_is_said_by_its_name(broker: Broker, connect: Connect, tmp_path: Path) -> None:
    outbox = connect(broker, password_file=tmp_path / "nowhere")
    assert trouble(outbox).line == f"The password file {tmp_path}/nowhere cannot be read."
    (tmp_path / "nowhere").write_text(PASSWORDS["jarside"])
    assert outbox.empties()


def test_a_name_that_does_not_resolve(broker: Broker, connect: Connect) -> None:
    """The top-level name `invalid` never resolves (RFC 6761, section 6.4)."""
    outbox = connect(broker, host="broker.invalid")
    assert trouble(outbox).line == f"The name in broker.invalid:{broker.port} does not resolve."


def test_a_topic_that_the_access_list_forbids_is_named_and_holds_up_no_other(
    make_broker: Make, connect: Connect
) -> None:
    broker = make_broker()
    rules = broker.folder / "jarside.acl"
    rules.write_text(rules.read_text().replace("topic write jarside/#", "topic write jarside/+/alerts/#"))
    outbox = connect(broker.start())
    refused = outbox.put("events")
    outbox.put("alerts/hot", retain=True)
    assert outbox.until(lambda: len(outbox.sent) == 2)
    assert list(outbox.waiting) == [refused]
    way = trouble(outbox)
    assert way.line == "The broker lets the user jarside write nothing to jarside/kitchen/events."
    assert "jarside.acl" in way.remedy


def test_the_access_list_keeps_readers_from_writing(broker: Broker, connect: Connect) -> None:
    file = broker.folder / "reader"
    file.write_text(PASSWORDS["jarside-reader"])
    outbox = connect(broker, username="jarside-reader", password_file=file)
    assert (
        trouble(outbox).line == "The broker lets the user jarside-reader write nothing to jarside/kitchen/alerts/cold."
    )


@pytest.mark.parametrize("limit", ["", "message_size_limit 2000\n"])
def test_a_payload_over_the_limit_is_given_up_said_and_holds_up_nothing(
    limit: str, make_broker: Make, connect: Connect
) -> None:
    """The limit of jarside.conf is announced by the broker; at the other it breaks the connection each time."""
    broker = make_broker(limit).start()
    outbox = connect(broker)
    size = 3000 if limit else 70_000
    too_long = outbox.put("events", bytes(size))
    outbox.put("alerts/hot", retain=True)
    assert outbox.until(lambda: len(outbox.sent) == 2)
    assert outbox.publisher.given_up() == (too_long,)
    assert trouble(outbox).line.startswith(f"A message of {size:,} bytes for jarside/kitchen/events was given up")
    outbox.until(lambda: False, 0.5)  # it is still offered by the outbox
    outbox.put("alerts/damp", retain=True)
    assert outbox.until(lambda: len(outbox.sent) == 3)


def test_a_topic_that_is_none_is_given_up_and_holds_up_nothing(broker: Broker, connect: Connect) -> None:
    outbox = connect(broker)
    nonsense = outbox.put("jars/+", retain=True)
    outbox.put("alerts/hot", retain=True)
    assert outbox.until(lambda: len(outbox.sent) == 2)
    assert outbox.publisher.given_up() == (nonsense,)
    assert "is no topic" in trouble(outbox).line


def test_two_stations_of_one_name_push_each_other_off_and_are_told_so(broker: Broker, connect: Connect) -> None:
    one, other = connect(broker), connect(broker)
    assert one.until(lambda: other.step() or "breaks again and again" in one.publisher.way().line)
    assert "no other station of this name" in one.publisher.way().remedy


@dataclass(frozen=True, slots=True)
class Authority:
    """A certificate authority made for the test, and a certificate for 127.0.0.1 that it signed."""

    certificate: Path
    signed: Path
    key: Path


def an_authority(folder: Path, address: str = "IP:127.0.0.1", days: int = 2) -> Authority:
    folder.mkdir()
    made = Authority(folder / "ca.pem", folder / "broker.pem", folder / "broker.key")
    curve = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", str(days))
    run("req", "-x509", *curve, "-subj", "/CN=test authority", "-keyout", folder / "ca.key", "-out", made.certificate)
    ours = ("-CA", made.certificate, "-CAkey", folder / "ca.key", "-addext", f"subjectAltName={address}")
    plain = ("-addext", "basicConstraints=critical,CA:FALSE")
    run("req", "-x509", *curve, "-subj", "/CN=broker", *ours, *plain, "-keyout", made.key, "-out", made.signed)
    return made


def run(*arguments: object) -> None:
    subprocess.run(["openssl", *map(str, arguments)], check=True, capture_output=True)


def a_tls_broker(make_broker: Make, authority: Authority) -> Broker:
    broker = make_broker()
    certificate, key = broker.folder / "broker.pem", broker.folder / "broker.key"
    certificate.write_bytes(authority.signed.read_bytes())
    key.write_bytes(authority.key.read_bytes())
    return broker.with_tls(certificate, key).start()


def test_tls_with_an_authority_of_one_s_own(make_broker: Make, connect: Connect, tmp_path: Path) -> None:
    authority = an_authority(tmp_path / "ours")
    broker = a_tls_broker(make_broker, authority)
    outbox = connect(broker, port=broker.tls_port, ca_file=authority.certificate)
    assert outbox.empties(), outbox.publisher.way()
    assert outbox.publisher.way().state is WayState.WORKING


def test_a_wrong_authority_is_said_and_put_right_without_a_restart(
    make_broker: Make, connect: Connect, tmp_path: Path
) -> None:
    authority, stranger = an_authority(tmp_path / "ours"), an_authority(tmp_path / "theirs")
    broker = a_tls_broker(make_broker, authority)
    outbox = connect(broker, port=broker.tls_port, ca_file=stranger.certificate)
    assert "not signed by an authority that is trusted here" in trouble(outbox).line
    assert outbox.sent == []
    stranger.certificate.write_bytes(authority.certificate.read_bytes())
    assert outbox.empties()


def test_without_its_authority_a_private_broker_is_not_trusted(
    make_broker: Make, connect: Connect, tmp_path: Path
) -> None:
    broker = a_tls_broker(make_broker, an_authority(tmp_path / "ours"))
    outbox = connect(broker, port=broker.tls_port, tls=True)
    assert "not signed by an authority that is trusted here" in trouble(outbox).line


def test_a_certificate_for_another_machine_is_refused(make_broker: Make, connect: Connect, tmp_path: Path) -> None:
    authority = an_authority(tmp_path / "ours", "DNS:elsewhere.test,IP:192.0.2.1")
    broker = a_tls_broker(make_broker, authority)
    outbox = connect(broker, port=broker.tls_port, ca_file=authority.certificate)
    assert "made out to another name" in trouble(outbox).line


def test_tls_to_a_plain_door_and_plain_to_a_tls_door(make_broker: Make, connect: Connect, tmp_path: Path) -> None:
    authority = an_authority(tmp_path / "ours")
    broker = a_tls_broker(make_broker, authority)
    to_plain = connect(broker, ca_file=authority.certificate)
    to_tls = connect(broker, port=broker.tls_port)
    assert "mqtt.port" in trouble(to_plain).remedy
    assert "TLS" in trouble(to_tls).remedy


@pytest.mark.parametrize("content", [None, "no certificate"])
def test_a_ca_file_that_cannot_be_used_is_said(
    content: str | None, broker: Broker, connect: Connect, tmp_path: Path
) -> None:
    file = tmp_path / "ca.pem"
    if content is not None:
        file.write_text(content)
    assert trouble(connect(broker, ca_file=file)).line == f"The CA file {file} cannot be used."


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('host = "http://broker"', "mqtt.host = 'http://broker'"),
        ('host = ""', "mqtt.host = ''"),
        ('host = "a..b"', "mqtt.host = 'a..b'"),
        (f'host = "{64 * "a"}.home"', "mqtt.host"),
        ('host = "kitchen broker"', "mqtt.host"),
        (
            'host = "127.0.0.1:19001"',
            "is a machine with a port: write host = '127.0.0.1', and the port as port = 19001",
        ),
        ("port = 0", "mqtt.port = 0: must be 1 at least."),
        ("port = 70000", "mqtt.port = 70000: must be 65535 at most."),
        ('port = "x"', "mqtt.port = 'x': must be a whole number."),
        ("keepalive_s = 1", "mqtt.keepalive_s = 1: must be 5 at least."),
        ('commands = "perhaps"', "mqtt.commands = 'perhaps': must be true or false."),
        ('password_file = "/etc/jarside/mqtt"', "password_file is given without username"),
        ('password = "x"', "mqtt.password is not a setting"),
    ],
)
def test_settings_that_cannot_be_right_are_refused(text: str, expected: str, tmp_path: Path) -> None:
    file = tmp_path / "jarside.toml"
    file.write_text(f"[mqtt]\n{text}\n")
    with pytest.raises(SettingsError) as caught:
        load(file)
    assert expected in str(caught.value)


@pytest.mark.parametrize("host", ["broker.home.arpa", "192.168.1.20", "::1", "localhost", "broker."])
def test_usual_hosts_are_allowed(host: str) -> None:
    assert MqttSettings(host=host).host == host
