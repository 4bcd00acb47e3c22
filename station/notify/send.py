"""Sends one message through apprise, or only looks whether it could, as a process of its own.

The library takes some forty megabytes and may wait for a network for minutes: neither belongs in the station. The
address comes by standard input, never as an argument, because arguments can be read by every user of the machine.
"""

import json
import sys

DELIVERED, UNKNOWN_ADDRESS, NOT_DELIVERED, NO_LIBRARY, UNDERSTOOD = 0, 3, 4, 5, 6


def main() -> int:
    """Send what standard input says: an object with `address`, `title` and `body`. Prints nothing: secrets.

    Without a `body` nothing is sent: it is only looked whether library and address are such that it could be.
    """
    request = json.load(sys.stdin)
    try:
        import apprise
    except ImportError:
        return NO_LIBRARY
    way = apprise.Apprise()
    if not way.add(request["address"]):
        return UNKNOWN_ADDRESS
    if "body" not in request:
        return UNDERSTOOD
    return DELIVERED if way.notify(title=request["title"], body=request["body"]) else NOT_DELIVERED


if __name__ == "__main__":
    raise SystemExit(main())
