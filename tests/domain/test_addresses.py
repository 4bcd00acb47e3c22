"""Where a label's code leads."""

import pytest

from station.domain.addresses import jar_page, leads_elsewhere, page_address


@pytest.mark.parametrize(
    ("hosts", "address", "elsewhere"),
    [
        (("127.0.0.1", "localhost", "::1"), "http://127.0.0.1:8420", False),
        (("localhost", "kitchen.local", "10.0.0.7"), "http://kitchen.local:8420", True),
        # An address of version 6 stands in brackets (RFC 3986, 3.2.2).
        (("::1", "fd00::7"), "http://[fd00::7]:8420", True),
        ((), "http://127.0.0.1:8420", False),
    ],
)
def test_the_address_is_one_that_others_can_follow_if_there_is_one(
    hosts: tuple[str, ...], address: str, elsewhere: bool
) -> None:
    assert page_address(hosts, 8420) == address
    assert leads_elsewhere(address) is elsewhere


def test_a_typed_address_without_a_port_is_told_apart() -> None:
    assert leads_elsewhere("http://kitchen.local")
    assert not leads_elsewhere("http://localhost")


def test_a_strange_id_is_quoted() -> None:
    assert jar_page("http://kitchen.local:8420", "a/b-1") == "http://kitchen.local:8420/jars/a%2Fb-1"
