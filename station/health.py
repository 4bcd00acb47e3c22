"""What the service manager is told: ready, alive after a good minute, and one status line."""

import os
import socket


def sd_notify(*lines: str) -> bool:
    """Send lines such as `READY=1` to the service manager (sd_notify(3)).

    Returns:
        Whether there was a service manager to tell.
    """
    address = os.environ.get("NOTIFY_SOCKET")
    if not address:
        return False
    if address.startswith("@"):
        address = "\0" + address[1:]
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as to:
        to.connect(address)
        to.sendall("\n".join(lines).encode())
    return True
