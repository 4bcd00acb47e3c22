"""The pages over real files: what they say, in every state, and that words stay words."""

import re

import pytest

from dashboard.frame import unbroken
from station.domain.jars import Discarded, Noted
from tests.builders import a_reading
from tests.dashboard.reading import EVIL, Words, read
from tests.dashboard.world import SETTINGS, Shelf, a_day_of, at

PAGES = ("/", "/jars", "/climate", "/climate?span=week", "/alerts")


@pytest.mark.parametrize("path", PAGES)
def test_every_page_opens_before_anything_has_happened(shelf: Shelf, path: str) -> None:
    read(shelf, path)

    assert [one.name for one in shelf.folder.iterdir()] == ["access.db"]  # looking makes no log and no notebook


def test_an_empty_shelf_says_what_to_do_first(shelf: Shelf) -> None:
    page = read(shelf, "/").text

    assert "Nothing has been measured yet." in page
    assert "Start the station beside the jars: jarside watch" in page
    assert "No jar yet" in page
    assert "Pick, weigh, and pack one." in page
    assert "Pack the first jar" in read(shelf, "/jars").text
    assert "jarside watch" in read(shelf, "/climate").text
    assert "None. The station speaks up" in read(shelf, "/alerts").text


def test_pages_open_without_the_data_folder(shelf: Shelf) -> None:
    shelf.folder = shelf.folder / "not there"

    for path in PAGES:
        read(shelf, path)


def test_the_shelf_shows_its_jars_and_what_needs_doing(kitchen: Shelf) -> None:
    page = read(kitchen, "/").text

    assert "The shelf is fine: " in page
    assert "Stinging nettle day 7, ready" in page
    assert "Dandelion draining since" in page
    assert "Comfrey day 2, working" in page
    assert "Collect the juice of dandelion and bottle it" in page
    assert "Strain stinging nettle this evening" in page
    assert re.search(r"\d\.\d of about 5\.5 warm-days", page)


def test_a_jar_has_its_own_page_under_its_id_and_a_beginning_of_it(kitchen: Shelf) -> None:
    page = read(kitchen, "/jars/stinging-nettle-1")

    assert "first juice after six hours" in page.text
    assert "Never close a working jar" in page.text
    assert "The shelf through its days" in page.text
    assert page.text == read(kitchen, "/jars/sting").text


def test_a_finished_jar_keeps_its_page(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    shelf.live(a_day_of(days=0.2))
    shelf.record(Discarded("comfrey-1", at(0.2), "dropped it"))
    shelf.now_at = at(40)

    assert "dropped it" in read(shelf, "/jars/comfrey-1").text
    assert "Comfrey comfrey-1 discarded" in read(shelf, "/jars?show=all").text


def test_an_old_jar_shows_the_conditions_of_its_own_days(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    shelf.live(a_day_of(temp_c=13.0, swing_c=0.0, days=0.5))
    shelf.record(Discarded("comfrey-1", at(0.5)))
    for day in range(1, 4):
        shelf.live(a_day_of(temp_c=20.0, swing_c=0.0, days=0.5, from_day=day))
        shelf.live(a_day_of(temp_c=29.0, swing_c=0.0, days=0.5, from_day=day + 0.5))

    titles = read(shelf, "/jars/comfrey-1").text

    assert "cold" in titles
    assert "hot" not in titles


def test_an_unknown_jar_is_not_found(kitchen: Shelf) -> None:
    page = read(kitchen, "/jars/tansy", 404)

    assert "There is no jar tansy." in page.text


def test_an_ambiguous_name_lists_what_it_could_be(shelf: Shelf) -> None:
    shelf.pack("comfrey")
    shelf.pack("comfrey")

    assert "comfrey-1, comfrey-2" in read(shelf, "/jars/comf", 404).text


def test_an_unknown_page_leads_back_to_the_shelf(shelf: Shelf) -> None:
    page = read(shelf, "/nowhere", 404)

    assert "There is no such page." in page.text
    assert ("a", {"href": "/"}) in page.tags


def test_the_climate_page_has_charts_with_tables_beside_them(kitchen: Shelf) -> None:
    page = read(kitchen, "/climate?span=week")

    titles = [tag for tag, attributes in page.tags if tag == "svg" and attributes.get("role") == "img"]
    assert len(titles) == 3
    assert "table" in [tag for tag, _ in page.tags]
    assert "cold" in page.text
    assert "not known" in page.text or "Sun 10 May" in page.text
    assert "Mean (least to greatest) by day" in page.text


def test_a_cold_night_is_among_the_past_alerts(kitchen: Shelf) -> None:
    page = read(kitchen, "/alerts").text

    assert re.search(r"Sat 9 May Too cold: 12\.0 °C at worst, from 13:00 to Sun 10 May 01:\d\d\.", page)


def test_a_station_that_stopped_is_said_to_have_stopped(shelf: Shelf) -> None:
    shelf.live([a_reading(0)])
    shelf.now_at = at(hours=5)

    page = read(shelf, "/").text
    assert "The station is not writing: it last wrote 5 hours ago, at 07:00." in page
    assert "Not writing" in page


def test_a_station_without_sensors_says_how_to_name_them(shelf: Shelf) -> None:
    shelf.live([a_reading(0, temp_c=None, rh_pct=None, light_lx=None)])

    page = read(shelf, "/").text
    assert "No sensor is named yet" in page
    assert "All is well" not in page
    assert "measured just now" not in page


def test_what_is_to_be_done_today_is_counted_above_the_jars(kitchen: Shelf) -> None:
    kitchen_page = read(kitchen, "/")
    urgent = sum(kitchen_page.text.count(f" {word} ") for word in ("Now", "Today"))

    assert f"{urgent} thing" in kitchen_page.text.partition("To do next")[0]


def test_a_clock_that_is_not_set_is_mentioned(shelf: Shelf) -> None:
    shelf.live([a_reading(0, trusted=False)])

    assert "The station's clock is not set yet" in read(shelf, "/").text


def test_temperatures_read_in_fahrenheit_if_so_set(shelf: Shelf) -> None:
    shelf.settings = SETTINGS.model_copy(update={"units": SETTINGS.units.model_copy(update={"temperature": "F"})})
    shelf.live([a_reading(minute, temp_c=20.0) for minute in range(90)])

    assert "68.0 °F" in read(shelf, "/").text
    climate = read(shelf, "/climate").text
    assert "°F" in climate
    assert "°C" not in climate


def test_markup_in_what_people_wrote_stays_text(shelf: Shelf) -> None:
    jar = shelf.pack(EVIL)
    shelf.live(a_day_of(days=0.3))
    shelf.record(Noted(jar.id, at(0.3), EVIL))

    for path in (*PAGES, f"/jars/{jar.id}", "/jars/%3Cscript%3E"):
        with shelf.client() as client:
            page = Words(client.get(path).text)
        scripts = [attributes for tag, attributes in page.tags if tag == "script"]
        assert all((script.get("src") or "").startswith("/static/") for script in scripts)
        assert "img" not in [tag for tag, _ in page.tags]
        assert "60481729" not in page.text  # what the template language would make of it
    assert EVIL in read(shelf, "/jars").text


@pytest.mark.parametrize("path", [*PAGES, "/jars/stinging-nettle-1", "/nowhere"])
def test_every_page_keeps_to_the_policy(kitchen: Shelf, path: str) -> None:
    """Nothing inline, no address elsewhere, each id once, one first heading, a language and a title."""
    with kitchen.client() as client:
        page = Words(client.get(path).text)

    assert not [name for _, attributes in page.tags for name in attributes if name == "style" or name.startswith("on")]
    assert "style" not in [tag for tag, _ in page.tags]
    links = [value for _, attributes in page.tags for name, value in attributes.items() if name in ("href", "src")]
    assert all(link and link.startswith(("/", "#")) for link in links)
    assert len(page.ids) == len(set(page.ids))
    assert [tag for tag, _ in page.tags].count("h1") == 1
    assert ("html", {"lang": "en"}) in page.tags
    assert "title" in [tag for tag, _ in page.tags]


def test_everything_a_page_names_as_static_is_served_and_may_be_kept(shelf: Shelf) -> None:
    page = read(shelf, "/")
    names = [
        value
        for _, attributes in page.tags
        for value in attributes.values()
        if value is not None and value.startswith("/static/")
    ]

    assert len(names) == 5
    with shelf.client() as client:
        for name in names:
            answer = client.get(name)
            assert answer.status_code == 200
            assert "immutable" in answer.headers["cache-control"]


def test_the_first_visit_is_light(kitchen: Shelf) -> None:
    """The goals are 60 kB over the wire in all, and 15 kB of script."""
    with kitchen.client() as client:
        page = client.get("/")
        names = re.findall(r'"(/static/[^"]+)"', page.text)
        sizes = {name: int(client.get(name).headers["content-length"]) for name in names}
        total = int(page.headers["content-length"]) + sum(sizes.values())

    assert page.headers["content-encoding"] == "gzip"
    assert total < 60_000
    assert sum(size for name, size in sizes.items() if ".js" in name) < 15_000


def test_numbers_stay_beside_their_units() -> None:
    assert unbroken("20.4 °C, 5.5 warm-days") == "20.4\u00a0°C, 5.5\u00a0warm\u2011days"
    assert unbroken("Strain Thu 14 May 19:00") == "Strain Thu\u00a014\u00a0May 19:00"


def test_a_new_reading_and_a_new_note_show_at_once(shelf: Shelf) -> None:
    with shelf.client() as client:
        shelf.live([a_reading(0, temp_c=20.0)])
        assert "20.0" in client.get("/").text
        shelf.live([a_reading(1, temp_c=21.5)])
        assert "21.5" in client.get("/").text
        shelf.pack("comfrey", at(0))
        assert "Comfrey" in client.get("/").text


def test_a_file_that_is_no_database_is_explained(shelf: Shelf) -> None:
    (shelf.folder / "shelf.db").write_bytes(b"not a database" * 100)

    page = read(shelf, "/", 503).text
    assert "shelf.db is not a database" in page
    assert "jarside restore" in page
