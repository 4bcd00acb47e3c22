"""One connection to the broker, from the attempt to its end. Wraps paho and its thread.

A client lives as long as its connection: paho would send what was in flight again by itself and before everything else,
out of order, and for ever if the broker cannot take it.
"""

import ssl
import sys
import threading
from collections.abc import Callable
from typing import Any, Protocol

from paho.mqtt.client import Client, ConnectFlags, DisconnectFlags, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion, MQTTProtocolVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode
from paho.mqtt.subscribeoptions import SubscribeOptions

from station.config import MqttSettings
from station.errors import SettingsError
from station.messages import JSON, OFFLINE, STATUS
from station.mqtt import commands
from station.ports import Message

SESSION_S = 7 * 24 * 3600
EVENT_LIVES_S = 7 * 24 * 3600
READING_LIVES_S = 15 * 60
LARGEST_BYTES = 65536
AT_LEAST_ONCE = 1
_FAULTY = frozenset({0x81, 0x82, 0x95})  # malformed packet, protocol error, packet too large


class Hearer(Protocol):
    """Who is told what happens on a link, from paho's thread."""

    def stands(self, link: "Link", largest: int | None, known: bool) -> None:  # noqa: FBT001
        """The broker has let us in; `known` if it remembers the session."""
        ...

    def failed(self, link: "Link", error: BaseException | None) -> None:
        """The attempt has failed."""
        ...

    def refused(self, link: "Link", code: int) -> None:
        """The broker will not let us in."""
        ...

    def ended(self, link: "Link", code: int, faulty: bool) -> None:  # noqa: FBT001
        """The connection has gone; may come more than once."""
        ...

    def answered(self, link: "Link", code: int) -> None:
        """The broker has answered the message in flight."""
        ...

    def heard(self, payload: bytes) -> None:
        """A command has come."""
        ...

    def stumbled(self, link: "Link", error: Exception) -> None:
        """One of the calls above has raised; the link is no longer to be trusted."""
        ...


class Link:
    """One attempt to connect, and the connection if it succeeds.

    Args:
        settings: where to and as whom.
        root: what all topics begin with.
        name: the client's name on the broker.
        hearer: who is told.
        guest: whether it only passes by: without a session, without a will, and deaf to commands.
    """

    def __init__(self, settings: MqttSettings, root: str, name: str, hearer: Hearer, *, guest: bool = False) -> None:
        self._guest = guest
        self._settings = settings
        self._root = root
        self._hearer = hearer
        self._ended = threading.Event()
        self._client = Client(
            CallbackAPIVersion.VERSION2, name, protocol=MQTTProtocolVersion.MQTTv5, reconnect_on_failure=False
        )
        self._client.on_connect = self._guarded(self._on_connect)
        self._client.on_connect_fail = self._guarded(self._on_connect_fail)
        self._client.on_disconnect = self._guarded(self._on_disconnect)
        self._client.on_publish = self._guarded(self._on_publish)
        self._client.on_message = self._guarded(self._on_message)

    def open(self) -> None:
        """Start the attempt; what becomes of it the hearer is told.

        Raises:
            SettingsError: the password file or the CA file cannot be used.
        """
        settings = self._settings
        if settings.username is not None:
            self._client.username_pw_set(settings.username, _password(settings))
        if settings.encrypted:
            self._client.tls_set_context(_tls(settings))
        if not self._guest:
            self._make_will()
        connect = _no_properties(PacketTypes.CONNECT)
        connect.SessionExpiryInterval = 0 if self._guest else SESSION_S
        connect.MaximumPacketSize = LARGEST_BYTES
        self._client.connect_async(
            settings.host or "",
            settings.port,
            # paho looks once a second and ends a silent connection at its second look after a keepalive: with one
            # second less a half-open link is noticed within two of the keepalives that were asked for
            keepalive=settings.keepalive_s - 1,
            clean_start=self._guest,
            properties=connect,
        )
        self._client.loop_start()

    def _make_will(self) -> None:
        will = _no_properties(PacketTypes.WILLMESSAGE)
        will.ContentType = JSON
        self._client.will_set(self._root + STATUS, OFFLINE, AT_LEAST_ONCE, retain=True, properties=will)

    def send(self, message: Message) -> None:
        """Hand one message to the broker.

        Raises:
            ValueError: its topic is none.
        """
        self._client.publish(
            self._root + message.topic, message.payload, AT_LEAST_ONCE, message.retain, _properties(message)
        )

    def close(self, within_s: float) -> None:
        """Say goodbye and wait until it is said: the broker then publishes the will, so that all know we are off."""
        self._client.disconnect(ReasonCode(PacketTypes.DISCONNECT, "Disconnect with will message"))
        self._ended.wait(within_s)

    def drop(self) -> None:
        """Let go of the connection without waiting."""
        self._client.disconnect()

    def _guarded(self, react: Callable[..., None]) -> Callable[..., None]:
        """An exception in a callback would end paho's thread while the client goes on saying that it is connected."""

        def callback(client: Client, _: Any, *rest: Any) -> None:
            try:
                react(*rest)
            except Exception as error:  # noqa: BLE001 - whatever it is, it must not end the thread
                self._hearer.stumbled(self, error)
                client.disconnect()

        return callback

    def _on_connect(self, flags: ConnectFlags, reason: ReasonCode, properties: Properties | None) -> None:
        if reason.is_failure:
            self._hearer.refused(self, reason.value)
            return
        if self._settings.commands and not self._guest:
            new_only = SubscribeOptions(qos=AT_LEAST_ONCE, retainHandling=SubscribeOptions.RETAIN_DO_NOT_SEND)
            self._client.subscribe(self._root + commands.TOPIC, options=new_only)
        self._hearer.stands(self, getattr(properties, "MaximumPacketSize", None), flags.session_present)

    def _on_connect_fail(self) -> None:
        self._ended.set()
        self._hearer.failed(self, sys.exc_info()[1])  # paho calls this while it handles the error

    def _on_disconnect(self, _: DisconnectFlags, reason: ReasonCode, __: Properties | None) -> None:
        self._ended.set()
        self._hearer.ended(self, reason.value, reason.value in _FAULTY)

    def _on_publish(self, _: int, reason: ReasonCode, __: Properties | None) -> None:
        """One client a connection and one message in flight: whatever is acknowledged is that one."""
        self._hearer.answered(self, reason.value)

    def _on_message(self, message: MQTTMessage) -> None:
        """Also when commands are off: the broker keeps for the session what was subscribed to while they were on."""
        if self._settings.commands and not message.retain:
            self._hearer.heard(bytes(message.payload))


def _password(settings: MqttSettings) -> str | None:
    """Read the password anew for each attempt, so that a corrected file needs no restart."""
    path = settings.password_file
    if path is None:
        return None
    try:
        return path.read_text(encoding="utf-8").rstrip("\r\n")
    except (OSError, UnicodeDecodeError):
        raise SettingsError(
            f"The password file {path} cannot be read", "Write the password into it, readable by the station alone."
        ) from None


def _tls(settings: MqttSettings) -> ssl.SSLContext:
    try:
        context = ssl.create_default_context(cafile=settings.ca_file)
    except OSError:  # ssl.SSLError is one
        raise SettingsError(
            f"The CA file {settings.ca_file} cannot be used", "Give mqtt.ca_file a readable certificate in PEM form."
        ) from None
    context.sslsocket_class = _TidySocket
    return context


class _TidySocket(ssl.SSLSocket):
    """Closes itself when the handshake fails; paho leaves such a socket lying."""

    def do_handshake(self, block: bool = False) -> None:  # noqa: FBT001 - as the standard library has it
        """Shake hands, or close."""
        try:
            super().do_handshake(block)
        except OSError:
            self.close()
            raise


def _no_properties(packet: int) -> Properties:
    return Properties(packet)  # type: ignore[no-untyped-call]


def _properties(message: Message) -> Properties:
    properties = _no_properties(PacketTypes.PUBLISH)
    properties.ContentType = message.content_type
    if message.id:
        properties.UserProperty = ("outbox", str(message.id))
    if not message.retain:
        properties.MessageExpiryInterval = EVENT_LIVES_S if message.id else READING_LIVES_S
    return properties
