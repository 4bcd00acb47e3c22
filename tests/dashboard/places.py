"""Every page in every state: which shelf, and where on it. A test holds that no page is missing here."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from dashboard.lent import Lent
from station.cli.lending import played
from station.config import Settings
from station.domain.plants import Moisture, own_plant
from station.domain.way import Way, WayState
from station.settings_file import SET_UP, load
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from tests.dashboard.doors import protect
from tests.dashboard.pantry import a_pantry
from tests.dashboard.world import Shelf, a_day_of, a_kitchen, a_sunlit_shelf

SHELF = {
    "kitchen": ("/", "/jars", "/jars/stinging-nettle-1", "/climate", "/climate?span=week", "/alerts"),
    "sunlit": ("/", "/jars", "/jars/borage", "/climate", "/climate?span=week", "/alerts"),
    "empty": ("/", "/jars", "/climate", "/alerts"),
}
JARS = (
    "/jars/pack",
    "/jars?show=all",
    "/jars/comfrey-1",
    "/jars/comfrey-1/note",
    "/jars/comfrey-1/correct",
    "/jars/comfrey-1/strain",
    "/jars/comfrey-1/discard",
    "/jars/comfrey-1/label",
    "/jars/dandelion-1",
    "/jars/dandelion-1/bottle",
    "/jars/dandelion-1/judge",
    "/labels",
    "/labels/sheet?name=comfrey-1&paper=a4",
)
STORE = (
    "/bottles",
    "/bottles/comfrey-1-a",
    "/bottles/comfrey-1-a/use",
    "/bottles/comfrey-1-a/move",
    "/bottles/borage-1-a/close",
    "/bottles/comfrey-1-a/empty",
    "/bottles/new",
    "/feeding",
    "/feeding/can?water=12+L&can=5L",
    "/feeding/can?water=7",
    "/feeding/give?round=beans-1",
    "/feeding/rounds/new",
    "/feeding/rounds/beans-1",
    "/feeding/rounds/beans-1/skip",
    "/feeding/rounds/beans-1/stop",
    "/trials",
    "/trials/lettuce-1",
    "/trials/lettuce-1/count",
    "/trials/lettuce-1/end",
    "/trials/sow",
    "/plants",
    "/plants/own",
    "/mix?plant=comfrey&weight=260",
)
WEEK = "since=2026-05-04&until=2026-05-10"
PLAY = f"/replay?{WEEK}&cold=11&shift=-2"
CLIMATE = (
    "/climate?span=month",
    "/climate?span=season",
    "/climate?span=day&until=2026-05-06",
    "/climate?until=2020-01-01",
    "/alerts",
    "/alerts?month=2026-04",
    "/replay",
    PLAY,
    "/survey",
    f"/survey?{WEEK}&from=2026-05-09&to=2026-05-09",
    "/setup",
    "/setup/settings",
)
"""These four lists are looked at by the tests of their pages; the rest by `test_every_page`."""
OTHERWISE = {
    "empty": (
        "/jars?show=all",
        "/jars/pack",
        "/labels",
        "/bottles",
        "/bottles/new",
        "/feeding",
        "/feeding/can",
        "/feeding/give",
        "/feeding/rounds/new",
        "/trials",
        "/trials/sow",
        "/plants",
        "/mix",
        "/climate?span=week",
        "/climate?span=month",
        "/climate?span=season",
        "/survey",
        "/replay",
        "/setup",
        "/setup/settings",
        "/access",
    ),
    "kitchen": ("/jars/pack?plant=comfrey&weight=260g", "/setup", "/feeding/can?can=5L"),
    "pantry": (
        "/",
        "/jars?show=all",
        "/jars/comfrey-1",
        "/bottles/comfrey-1-a/label",
        "/labels",
        "/labels/sheet?name=comfrey-1&name=comfrey-1-a&paper=letter",
        "/plants/own?name=lemon+balm",
        "/plants/own/lemon%20balm/drop",
    ),
}
LOGIN = ("/login", "/login?next=/jars")
PROTECTED = ("/access", "/")
"""A stranger's pages, and those of who is let in."""
REFUSED: Mapping[str, Mapping[str, Mapping[str, str]]] = {
    "kitchen": {
        "/jars/pack": {"plant": "", "weight": "much"},
        "/jars/comfrey-1/note": {"at": "never"},
        "/jars/comfrey-1/correct": {"weight": "much"},
        "/jars/comfrey-1/strain": {"at": "never"},
        "/jars/comfrey-1/discard": {"reason": "spilt"},
        "/jars/dandelion-1/bottle": {"volume_1": "a cupboard"},
        "/jars/dandelion-1/judge": {"judgement": "perhaps"},
        "/access": {"new": "short", "again": "other"},
    },
    "pantry": {
        "/bottles/comfrey-1-a/use": {"amount": "some"},
        "/bottles/comfrey-1-a/move": {"at": "never"},
        "/bottles/borage-1-a/close": {"at": "never"},
        "/bottles/comfrey-1-a/empty": {"at": "never"},
        "/bottles/new": {"source": "", "amount": "some"},
        "/feeding/give": {"water": "some"},
        "/feeding/rounds/new": {"every": "often"},
        "/feeding/rounds/beans-1": {"every": "often"},
        "/feeding/rounds/beans-1/skip": {"at": "never"},
        "/feeding/rounds/beans-1/stop": {"at": "never"},
        "/trials/sow": {"dishes-1": "a handful"},
        "/trials/lettuce-1/count": {"at": "never"},
        "/trials/lettuce-1/end": {"at": "never"},
        "/plants/own": {"name": ""},
    },
    "settable": {"/setup/settings": {"cold_c": "warm"}},
}
"""What is typed that cannot be kept, form by form."""
ASKED_WRONG: Mapping[str, Mapping[str, int]] = {
    "settable": {
        f"/replay?{WEEK}&cold=warm": 200,
        "/survey?from=2026-05-04": 200,
        "/labels/sheet?name=nobody-1&paper=a4": 200,
        "/feeding/can?water=some": 200,
        "/mix?plant=comfrey&weight=much": 200,
        "/trials?share=most": 200,
        "/climate?until=never": 422,
    },
    "kitchen": {"/nowhere": 404, "/jars/nobody-1": 404, "/jars/pack/what": 404},
}
"""Addresses with what cannot be, and how they are answered: forms that are shown again are pages like others; the rest
is refused, or leads nowhere."""


def a_settable_kitchen(home: Path) -> Shelf:
    """A kitchen that is cold just now, with a player, a phone to test, and settings that may be set."""
    file, folder = home / "jarside.toml", home / "data"
    file.write_text('[place]\nlat_deg = 50.0\nlon_deg = 8.0\nzone = "Europe/Lisbon"\n')
    folder.mkdir()

    def read(with_pages: bool) -> Settings:
        return load(file, (), folder / SET_UP if with_pages else None)

    def test() -> tuple[Way, ...]:
        return (Way("phone", WayState.WORKING, "The test went out to phone."),)

    phone = {"notify": [{"name": "phone", "address": "json://127.0.0.1"}]}
    settings = read(True).model_validate(read(True).model_dump(by_alias=True) | phone)
    lent = Lent(lambda stretch: played(folder / "shelf.db", stretch), test, read)
    shelf = replace(a_kitchen(folder), settings=settings, lent=lent)
    shelf.live(a_day_of(temp_c=13.0, swing_c=0.2, days=0.1, from_day=6.75))
    return shelf


def a_full_pantry(folder: Path) -> Shelf:
    """See `a_pantry`; and the grower knows a plant of their own."""
    pantry = a_pantry(folder)
    with Notebook.open(folder / "notebook.db") as notebook:
        OwnPlants(notebook).add(own_plant("lemon balm", Moisture.DRY, cautions=("none known",)), now_at=pantry.now_at)
    return pantry


def a_closed_shelf(folder: Path) -> Shelf:
    """A shelf with a passphrase."""
    shelf = Shelf(folder)
    shelf.live(a_day_of(days=0.1))
    protect(shelf)
    return shelf


WORLDS: dict[str, Callable[[Path], Shelf]] = {
    "empty": Shelf,
    "kitchen": a_kitchen,
    "sunlit": a_sunlit_shelf,
    "pantry": a_full_pantry,
    "settable": a_settable_kitchen,
}


def everywhere() -> dict[str, tuple[str, ...]]:
    """Return every page of every state that has no passphrase."""
    places = {state: [*SHELF.get(state, ()), *OTHERWISE.get(state, ())] for state in WORLDS}
    places["kitchen"] += JARS
    places["pantry"] += STORE
    places["settable"] += CLIMATE
    return {state: tuple(dict.fromkeys(paths)) for state, paths in places.items()}
