from pathlib import Path

import pytest

from station.domain.jars import Noted, Strained
from tests.dashboard.world import Shelf, a_day_of, at


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """A data folder in which nothing has happened yet."""
    return Shelf(tmp_path)


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """A week of a kitchen with a gap, a cold night, a jar that works, one that is ready, and one that drains."""
    kitchen = Shelf(tmp_path_factory.mktemp("kitchen"))
    kitchen.pack("stinging nettle", at(0))
    kitchen.pack("dandelion", at(1))
    kitchen.pack("comfrey", at(5))
    kitchen.record(Noted("stinging-nettle-1", at(0.3), "first juice after six hours"))
    kitchen.live(a_day_of(days=3.0))
    kitchen.live(a_day_of(days=2.0, from_day=3.25))
    kitchen.live(a_day_of(temp_c=13.0, days=0.5, from_day=5.25))
    kitchen.record(Strained("dandelion-1", at(5.75)))
    kitchen.live(a_day_of(days=1.0, from_day=5.75))
    return kitchen
