"""A slow-down for guesses: the more wrong ones, the longer the wait; but nobody is locked out for good.

Counted for each address and for all together, because guesses may come from many addresses. This machine's own owner
waits for the wrong guesses of this machine only: whoever floods the door from elsewhere cannot keep the owner out.
"""

import ipaddress
from collections import OrderedDict
from dataclasses import dataclass
from datetime import datetime, timedelta
from threading import Lock

FREE, FREE_OF_ALL = 3, 12
"""So many wrong guesses cost no wait: fingers slip."""
LONGEST_S, LONGEST_OF_ALL_S = 60.0, 10.0
FORGOTTEN_AFTER = timedelta(minutes=15)
"""Wrong guesses are forgotten this long after the last one."""
MOST_ADDRESSES = 1000
_ALL = "all"


@dataclass(frozen=True, slots=True)
class Guesses:
    """How many guesses one address has made that were not right, and when the last one was."""

    count: int
    last_at: datetime

    def wait_s(self, now_at: datetime, free: int, longest_s: float) -> float:
        """Return how many seconds are left to wait: 1, 2, 4 ... after the free ones."""
        if self.count < free:
            return 0.0
        whole_s = min(2.0 ** min(self.count - free, 30), longest_s)
        return min(max(whole_s - (now_at - self.last_at).total_seconds(), 0.0), whole_s)


class Slowdown:
    """Says who has to wait. Bounded memory; may be used from several threads."""

    def __init__(self) -> None:
        self._made: OrderedDict[str, Guesses] = OrderedDict()
        self._lock = Lock()

    def asked(self, address: str, now_at: datetime) -> float:
        """Take a guess, counted as wrong until `right` is called; or return how many seconds to wait before another.

        Args:
            address: where it comes from.
            now_at: the present, aware.
        """
        with self._lock:
            wait_s = max(self._wait_s(network(address), now_at), self._wait_for_all_s(address, now_at))
            if wait_s == 0.0:
                self._count(network(address), now_at)
                self._count(_ALL, now_at)
            return wait_s

    def right(self, address: str) -> None:
        """Forget what an address guessed: the last one was right."""
        with self._lock:
            self._made.pop(network(address), None)

    def _wait_s(self, place: str, now_at: datetime) -> float:
        made = self._known(place, now_at)
        return 0.0 if made is None else made.wait_s(now_at, FREE, LONGEST_S)

    def _wait_for_all_s(self, address: str, now_at: datetime) -> float:
        made = None if own_machine(address) else self._known(_ALL, now_at)
        return 0.0 if made is None else made.wait_s(now_at, FREE_OF_ALL, LONGEST_OF_ALL_S)

    def _known(self, place: str, now_at: datetime) -> Guesses | None:
        made = self._made.get(place)
        return None if made is None or now_at - made.last_at > FORGOTTEN_AFTER else made

    def _count(self, place: str, now_at: datetime) -> None:
        made = self._known(place, now_at)
        self._made[place] = Guesses(1 if made is None else made.count + 1, now_at)
        self._made.move_to_end(place)
        if len(self._made) > MOST_ADDRESSES:
            self._made.popitem(last=False)


def own_machine(address: str) -> bool:
    """Return whether an address is this machine's own loopback."""
    read = _read(address)
    return read is not None and read.is_loopback


def network(address: str) -> str:
    """Return what counts as one guesser: an IPv4 address; of IPv6 the /64, in which one machine has many."""
    read = _read(address)
    if read is None:
        return "unknown"
    return str(read) if read.version == 4 else str(ipaddress.ip_network((read, 64), strict=False))


def _read(address: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    """Return an address; one of IPv4 as itself also where a server that listens on both has it within one of IPv6."""
    try:
        read = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return None
    return read.ipv4_mapped or read if isinstance(read, ipaddress.IPv6Address) else read


def wait_words(wait_s: float) -> str:
    """Return how long to wait: "Try again in 8 seconds."."""
    whole = max(int(-(-wait_s // 1)), 1)
    return f"Try again in {whole} second{'' if whole == 1 else 's'}."
