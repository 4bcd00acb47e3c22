from pathlib import Path

import pytest

from dashboard.lent import Lent
from station.config import DashboardSettings, Settings
from station.domain.jars import Strained
from station.settings_file import SET_UP, load
from station.store.bottles import Bottles, Fill
from station.store.notebook import Notebook
from tests.builders import a_reading
from tests.dashboard.world import SETTINGS, Shelf, a_kitchen, at, lending


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    """A data folder in which nothing has happened yet."""
    return Shelf(tmp_path)


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """A week of a kitchen; see `a_kitchen`."""
    return a_kitchen(tmp_path_factory.mktemp("kitchen"))


FILE = """# The grower's own file.
[place]
lat_deg = 50.0
lon_deg = 8.0
zone = "Europe/Lisbon"
[limits]
cold_c = 14.0
"""


@pytest.fixture
def own(tmp_path: Path) -> Shelf:
    """A shelf with a settings file of its own, whose pages may set things."""
    file, folder = tmp_path / "jarside.toml", tmp_path / "data"
    file.write_text(FILE)
    folder.mkdir()

    def read_anew(with_pages: bool) -> Settings:
        return load(file, (), folder / SET_UP if with_pages else None)

    shelf = Shelf(folder, settings=read_anew(True), lent=Lent(settings=read_anew))
    shelf.live([a_reading(minute) for minute in range(5)])
    return shelf


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """The kitchen, with a player."""
    return lending(a_kitchen(tmp_path_factory.mktemp("played")))


@pytest.fixture(scope="module")
def steady(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """Eight days at 20 °C with a jar that was packed when they began, and a player."""
    shelf = Shelf(tmp_path_factory.mktemp("steady"))
    shelf.pack("comfrey")
    shelf.live(a_reading(minute, 20.0 + 0.1 * (minute % 20 == 0), span_s=600.0) for minute in range(10, 11520, 10))
    return lending(shelf)


HOSTS = ("127.0.0.1", "localhost", "kitchen.local")


@pytest.fixture
def stocked(shelf: Shelf) -> Shelf:
    """A jar on the shelf, and a bottle in store."""
    shelf.pack("comfrey")
    shelf.pack("nettle")
    shelf.record(Strained("nettle-1", at(5)))
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        Bottles(notebook).bottle_jar("nettle-1", [Fill(200.0)], at(6), now_at=at(6))
    shelf.now_at = at(6)
    shelf.settings = SETTINGS.model_copy(update={"dashboard": DashboardSettings(allowed_hosts=HOSTS)})
    return shelf
