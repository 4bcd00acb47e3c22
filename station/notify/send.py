"""Sends one message through apprise, as a process of its own.

The library takes some forty megabytes and may wait for a network for minutes: neither belongs in the station. The
address comes by standard input, never as an argument, because arguments can be read by every user of the machine.
"""

import json
import sys

DELIVERED, UNKNOWN_ADDRESS, NOT_DELIVERED, NO_LIBRARY = 0, 3, 4, 5


def main() -> int:
    """Send what standard input says: an object with `address`, `title` and `body`. Prints nothing: secrets."""
    request = json.load(sys.stdin)
    try:
        import apprise
    except ImportError:
        return NO_LIBRARY
    way = apprise.Apprise()
    if not way.add(request["address"]):
        return UNKNOWN_ADDRESS
    return DELIVERED if way.notify(title=request["title"], body=request["body"]) else NOT_DELIVERED


if __name__ == "__main__":
    raise SystemExit(main())
