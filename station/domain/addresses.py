"""Where the pages are found: the address that a label's code leads to."""

from collections.abc import Iterable
from urllib.parse import quote, urlsplit

LOOPBACK = ("127.0.0.1", "localhost", "::1")


def page_address(hosts: Iterable[str], port: int) -> str:
    """Return where the pages are: under the first name by which others may ask for them, else on this machine only.

    Args:
        hosts: the names under which the pages may be asked for.
        port: where they are served.
    """
    host = next((one for one in hosts if one not in LOOPBACK), LOOPBACK[0])
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def leads_elsewhere(address: str) -> bool:
    """Whether a phone can follow an address, which one of this machine alone it cannot."""
    return urlsplit(address).hostname not in LOOPBACK


def jar_page(address: str, jar_id: str) -> str:
    """Return where a jar's page is."""
    return f"{address}/jars/{quote(jar_id, safe='')}"


def bottle_page(address: str, bottle_id: str) -> str:
    """Return where a bottle's page is."""
    return f"{address}/bottles/{quote(bottle_id, safe='')}"
