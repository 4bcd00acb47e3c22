"""What all tests share: the --long switch, and property tests that do not mind a busy machine."""

import pytest
from hypothesis import settings

settings.register_profile("jarside", deadline=None)
settings.load_profile("jarside")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the longer soaks and sweeps too")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if "long" in item.keywords and not config.getoption("--long"):
            item.add_marker(pytest.mark.skip(reason="long: run with --long"))
        if "pi" in item.keywords:
            item.add_marker(pytest.mark.skip(reason="pi: needs a Raspberry Pi with its parts"))
