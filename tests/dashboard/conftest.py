from pathlib import Path

import pytest

from tests.dashboard.world import Shelf, a_kitchen


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """A data folder in which nothing has happened yet."""
    return Shelf(tmp_path)


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """A week of a kitchen; see `a_kitchen`."""
    return a_kitchen(tmp_path_factory.mktemp("kitchen"))
