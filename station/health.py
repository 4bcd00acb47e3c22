"""How the program is: its version, and what the service manager is told of it."""

import os
import socket
from functools import cache
from importlib.metadata import PackageNotFoundError, version


@cache
def program_version() -> str:
    """Return the version of this program; "0" when it is run from a checkout that was never installed."""
    try:
        return version("jarside")
    except PackageNotFoundError:
        return "0"


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
