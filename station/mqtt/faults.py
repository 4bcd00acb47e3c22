"""What is said about a broker that cannot be reached or will not take something: a line and a remedy.

Decided by types and numbers, never by the text of a foreign error.
"""

import socket
import ssl
from dataclasses import dataclass

from station.mqtt.outgoing import NO_TOPIC, TOO_LARGE, Refusal

NOT_AUTHORIZED = 0x87
_CLIENT_TAKEN_OVER = 0x8E
_NOT_YET_VALID, _EXPIRED, _OTHER_NAME, _OTHER_ADDRESS = 9, 10, 62, 64  # X509_V_ERR_..., of OpenSSL


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, as one sentence, and what to do about it, as another."""

    line: str
    remedy: str


def connect_fault(error: BaseException | None, where: str) -> Fault:
    """Return what a failed attempt to connect means.

    Args:
        error: what was raised.
        where: host and port.
    """
    match error:
        case ssl.SSLCertVerificationError():
            return _certificate_fault(error.verify_code, where)
        case ssl.SSLError():
            return Fault(f"The broker at {where} does not speak TLS.", "Check mqtt.port; 8883 is usual with TLS.")
        case socket.gaierror():
            return Fault(f"The name in {where} does not resolve.", "Check mqtt.host and the network's name server.")
        case ConnectionRefusedError():
            return Fault(f"Nothing listens at {where}.", "Start the broker, or correct mqtt.host and mqtt.port.")
        case TimeoutError():
            return Fault(f"No answer from {where}.", "Check that the broker's machine is on and in the network.")
        case ConnectionError():
            return Fault(f"{where} closed the connection at once.", "Check mqtt.port, and whether it wants TLS.")
        case OSError():
            return Fault(f"{where} cannot be reached.", "Check the network.")
    return Fault(f"Connecting to {where} failed ({type(error).__name__}).", "Check the mqtt section of the settings.")


def _certificate_fault(verify_code: int, where: str) -> Fault:
    if verify_code == _NOT_YET_VALID:
        return Fault(f"The certificate of {where} is not valid yet.", "Check this machine's clock.")
    if verify_code == _EXPIRED:
        return Fault(f"The certificate of {where} has expired.", "Renew it; check this machine's clock.")
    if verify_code in (_OTHER_NAME, _OTHER_ADDRESS):
        return Fault(
            f"The certificate of {where} is made out to another name.", "Give mqtt.host as the certificate names it."
        )
    return Fault(
        f"The certificate of {where} is not signed by an authority that is trusted here.",
        "Point mqtt.ca_file at the certificate of the authority that signed it.",
    )


def refused_connection(code: int, where: str) -> Fault:
    """Return what a connection refused with a reason code of MQTT 5 means."""
    match code:
        case 0x86 | 0x87 | 0x8C:
            return Fault(
                f"The broker at {where} refuses this user name and password.",
                "Correct mqtt.username and the password file, or set the password on the broker.",
            )
        case 0x84:
            return Fault(f"The broker at {where} does not speak MQTT 5.", "Use one that does, such as mosquitto 2.")
        case 0x85:
            return Fault(f"The broker at {where} refuses the client's name.", "Give the station another name.")
        case 0x88 | 0x89 | 0x97 | 0x9F:
            return Fault(f"The broker at {where} is busy.", "It is tried again by itself.")
    return Fault(f"The broker at {where} refuses the connection (reason 0x{code:02X}).", "See the broker's log.")


def broken_connection(code: int, where: str, answered: bool) -> Fault:  # noqa: FBT001
    """Return what a connection broken with a reason code of MQTT 5 means; `answered` if it ever stood."""
    if code == _CLIENT_TAKEN_OVER:
        return Fault(
            f"Another client of the same name has connected to {where}.", "Give each station a name of its own."
        )
    if not answered:
        return Fault(f"{where} took the connection and does not answer.", "Check mqtt.port, and whether it wants TLS.")
    return Fault(f"The connection to {where} has broken.", "It is tried again by itself; check broker and network.")


def unsteady_connection(where: str) -> Fault:
    """Return what it means that the connection breaks as soon as it stands, time after time."""
    return Fault(
        f"The connection to {where} breaks again and again.",
        "Check that no other station of this name is connected; see the broker's log.",
    )


def refused_message(refusal: Refusal, root: str, user: str | None) -> Fault:
    """Return what it means that the broker did not take a message."""
    topic = f"{root}{refusal.message.topic}"
    if refusal.code == TOO_LARGE:
        size = len(refusal.message.payload)
        return Fault(
            f"A message of {size:,} bytes for {topic} was given up: it is longer than the broker takes.",
            "Raise max_packet_size in the broker's configuration.",
        )
    if refusal.code == NO_TOPIC:
        return Fault(f"A message was given up: {topic!r} is no topic to the broker.", "Name the jar more plainly.")
    if refusal.code == NOT_AUTHORIZED:
        who = f"the user {user}" if user else "a user without a name"
        return Fault(
            f"The broker lets {who} write nothing to {topic}.", "Allow it in the broker's access list (jarside.acl)."
        )
    return Fault(f"The broker refuses messages for {topic} (reason 0x{refusal.code:02X}).", "See the broker's log.")
