"""Plants and mixes over HTTP: known plants, the grower's own, and a mix looked up without packing it."""

from concurrent.futures import ThreadPoolExecutor
from urllib.parse import quote

import pytest

from dashboard.views.plants import plant_cards, plant_fields
from station.domain.jars import Judged, Judgement, Strained
from station.domain.plants import KNOWN, Moisture, Plant, own_plant
from station.store.needs import HandSetNeeds
from station.store.notebook import Notebook
from station.store.own_plants import OwnPlants
from tests.dashboard.forming import mark_of, send, words
from tests.dashboard.reading import EVIL, Words, read
from tests.dashboard.world import Shelf, a_day_of, at

OWN = "/plants/own"


def own(shelf: Shelf) -> tuple[Plant, ...]:
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        return OwnPlants(notebook).plants()


def test_every_known_plant_is_listed_with_its_cautions(shelf: Shelf) -> None:
    page = read(shelf, "/plants").text

    for plant in KNOWN:
        assert plant.name.capitalize() in page
    assert "never drink the juice" in page
    assert "Know the plant, and have the owner's leave." in page
    assert not (shelf.folder / "notebook.db").exists()


def test_ones_own_plant_stands_in_place_of_a_known_one() -> None:
    cards = plant_cards([own_plant("Comfrey", Moisture.DRY), own_plant("tansy", Moisture.MEDIUM)])

    assert [card.name for card in cards if card.name.casefold() == "comfrey"] == ["Comfrey"]
    assert len(cards) == len(KNOWN) + 1
    assert [card.name for card in cards] == sorted((card.name for card in cards), key=str.casefold)


def test_a_plant_described_anew_keeps_its_cautions_on_the_page_and_for_programs(shelf: Shelf) -> None:
    """Comfrey holds pyrrolizidine alkaloids (EMA public statement on their use, 2014), whoever describes it."""
    with shelf.client() as client:
        send(client, OWN, name="comfrey", moisture="medium")
        page, told = words(client.get("/plants")), client.get("/api/plants").json()

    (mine,) = [plant for plant in told if plant["name"] == "comfrey"]
    assert (mine["own"], mine["moisture"]) == (True, "medium")
    assert any("alkaloids" in caution for caution in mine["cautions"])
    said = page.replace("\u00a0", " ")
    assert "medium, plant to sugar 5 : 4, yours" in said
    assert "Mind: holds pyrrolizidine alkaloids, which harm the liver; leaves look like foxglove's, which is" in said


def test_what_ones_jars_taught_of_a_plant_stands_by_the_plant(shelf: Shelf) -> None:
    assert "warm-days" not in read(shelf, "/plants").text
    jar = shelf.pack("comfrey", at(0))
    shelf.live(a_day_of(days=6.0))
    shelf.record(Strained(jar.id, at(6)), Judged(jar.id, at(6), Judgement.RIGHT))
    shelf.live(a_day_of(days=0.1, from_day=6.0))
    with Notebook.open(shelf.folder / "notebook.db") as notebook:
        HandSetNeeds(notebook).set_to("nettle", 6.5, now_at=at(6))
    page = read(shelf, "/plants").text

    assert "from 1 of your comfrey jars:" in page
    assert "set by you to 6.5" in page
    assert page.count("give or take") == 2  # of the others nothing is known


def test_a_plant_is_added_once_changed_and_dropped(shelf: Shelf) -> None:
    fields = {"name": "lemon balm", "moisture": "dry", "parts": "tops", "cautions": "Spreads.\nSmells.", "also": "balm"}
    with shelf.client() as client:
        mark = mark_of(client.get(OWN).text)
        with ThreadPoolExecutor(2) as tabs:
            sent = [
                tabs.submit(client.post, OWN, data={"mark": mark, **fields}, follow_redirects=False) for _ in range(2)
            ]
            assert {one.result().status_code for one in sent} == {303}
        assert [(one.name, one.moisture, one.cautions, one.also) for one in own(shelf)] == [
            ("lemon balm", Moisture.DRY, ("Spreads.", "Smells."), ("balm",))
        ]
        assert 'value="tops"' in client.get(f"{OWN}?name=lemon%20balm").text
        send(client, OWN, name="lemon balm", moisture="juicy")
        assert own(shelf)[0].moisture is Moisture.JUICY

        drop = f"{OWN}/lemon%20balm/drop"
        mark = mark_of(client.get(drop).text)
        for _ in range(2):
            assert client.post(drop, data={"mark": mark}, follow_redirects=False).status_code == 303
        assert "lemon balm" not in words(client.get("/plants")).lower()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"moisture": "dry"}, "The name is missing."),
        ({"name": "tansy"}, "How juicy it is, is not said."),
        ({"name": "a+b", "moisture": "dry"}, "Leave out + and : ."),
        ({"name": "x" * 61, "moisture": "dry"}, "Use 1 to 60."),
        ({"name": "tansy", "moisture": "wet"}, "'wet' is not among the choices"),
    ],
)
def test_a_plant_that_cannot_be_is_not_added(shelf: Shelf, fields: dict[str, str], said: str) -> None:
    with shelf.client() as client:
        answer = send(client, OWN, parts="kept", **fields)

    assert answer.status_code == 200
    assert said in words(answer)
    assert 'value="kept"' in answer.text
    assert own(shelf) == ()


def test_a_plant_with_strange_signs_in_its_name_can_be_dropped(shelf: Shelf) -> None:
    name = "mint / water? #1 <b>"
    with shelf.client() as client:
        send(client, OWN, name=name, moisture="medium", parts=EVIL, picking=EVIL, cautions=EVIL, also=EVIL)
        page = Words(client.get("/plants").text)
        assert not [tag for tag, attributes in page.tags if "onerror" in attributes]
        links = [attributes.get("href") or "" for tag, attributes in page.tags if tag == "a"]
        link = next(href for href in links if href.endswith("drop"))
        assert link in (f"{OWN}/{quote(name)}/drop", f"{OWN}/{quote(name, safe='')}/drop")
        send(client, link)
    assert own(shelf) == ()


def test_an_unknown_plant_cannot_be_dropped(shelf: Shelf) -> None:
    with shelf.client() as client:
        for name in ("triffid", "comfrey"):  # comfrey is known here, but not one's own
            answer = client.get(f"{OWN}/{name}/drop")
            assert answer.status_code == 404
            assert f"there is no plant of your own {name}" in words(answer).lower()


def test_a_form_holds_what_is_known_of_a_plant() -> None:
    plant = own_plant("lemon balm", Moisture.DRY, "tops", "before it flowers", ("Spreads.",), ("balm", "melissa"))

    assert {name: value for name, (value,) in plant_fields(plant).items()} == {
        "name": "lemon balm",
        "moisture": "dry",
        "parts": "tops",
        "picking": "before it flowers",
        "cautions": "Spreads.",
        "also": "balm, melissa",
    }


def test_a_mix_is_worked_out_and_nothing_is_packed(shelf: Shelf) -> None:
    """Equal weights for juicy comfrey, 3 : 2 for dry nettle, 125 g of plant to a litre (common practice)."""
    comfrey = read(shelf, "/mix?plant=comfrey&weight=260g").text
    nettle = read(shelf, "/mix?plant=nettle&jar=1L").text

    assert "Sugar 260 g (9.2 oz), plant to sugar 1 : 1" in comfrey
    assert "Jar 2.08 L" in comfrey
    assert "never drink the juice" in comfrey
    assert "Plant 125 g (4.4 oz)" in nettle
    assert "Sugar 83 g (2.9 oz), plant to sugar 3 : 2" in nettle
    assert not (shelf.folder / "notebook.db").exists()


def test_a_field_labelled_grams_takes_a_bare_number_and_any_other_unit(shelf: Shelf) -> None:
    assert "Plant 260 g (9.2 oz)" in read(shelf, "/mix?plant=comfrey&weight=260").text
    assert "Plant 255 g (9 oz)" in read(shelf, "/mix?plant=comfrey&weight=9oz").text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("weight=5g", "No plant is named."),
        ("plant=netle&weight=5g", "'netle' is not a plant known here. Did you mean nettle?"),
        ("plant=nettle&weight=-5g", "'-5g' is negative."),
        ("plant=nettle&weight=1L", "'1L' is a volume, and a weight is wanted."),
        ("plant=nettle&weight=0g", "'0g' is not a weight above 0."),
        ("plant=nettle&weight=5g&sugar=5g", "Both plant and sugar are weighed."),
        ("plant=nettle:5g%2Bclover:5g&weight=5g", "The blend has weights of its own."),
        ("plant=nettle&weight=5g&ratio=0:1", "ratio '0:1' cannot be read"),
        ("plant=nettle&weight=5g&times=-1", "'-1' times the batch."),
        ("plant=nettle&weight=5g&moisture=wet", "'wet' is not among the choices"),
        ("plant=nettle&weight=5g&ratio=9:1", "Little sugar"),
    ],
)
def test_a_mix_that_cannot_be_is_explained_in_place(shelf: Shelf, query: str, said: str) -> None:
    assert said.lower() in read(shelf, f"/mix?{query}").text.lower()
    assert said.lower() in read(shelf, f"/mix/worked?{query}").text.lower()


def test_markup_in_a_mix_stays_text(shelf: Shelf) -> None:
    page = read(shelf, f"/mix?plant={quote(EVIL)}&weight=5g")

    assert not [tag for tag, attributes in page.tags if "onerror" in attributes]


def test_a_plant_not_known_is_said_without_a_command(shelf: Shelf) -> None:
    page = read(shelf, "/mix?plant=comfry&weight=200g").text

    assert "Did you mean comfrey?" in page
    assert "See those known under Plants" in page
    assert "jarside plants" not in page
