"""What all tests share: the --long switch, property tests that do not mind a busy machine, and nothing left open."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.left_open import close_all

settings.register_profile("jarside", deadline=None)
settings.load_profile("jarside")


@pytest.fixture(autouse=True)
def _nothing_left_open() -> Iterator[None]:
    yield
    close_all()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the longer soaks and sweeps too")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if "long" in item.keywords and not config.getoption("--long"):
            item.add_marker(pytest.mark.skip(reason="long: run with --long"))
        if "pi" in item.keywords:
            item.add_marker(pytest.mark.skip(reason="pi: needs a Raspberry Pi with its parts"))
