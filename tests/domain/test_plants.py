"""The table of plants, blends and cautions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.blends import blend_from, blend_g, blend_name, blend_ratio, plants_in
from station.domain.cautions import Step, cautions_for
from station.domain.mix import mixed
from station.domain.packing import Share
from station.domain.plants import KNOWN, RATIO_OF, Moisture, find_plant, near_names, own_plant, plant_named
from station.errors import NotebookError, QuantityError


def test_the_common_plants_are_there_each_with_parts_and_picking():
    names = {plant.name for plant in KNOWN}
    assert names >= {
        "nettle",
        "comfrey",
        "dandelion",
        "borage",
        "chickweed",
        "cleavers",
        "horsetail",
        "clover",
        "yarrow",
    }
    assert all(plant.parts and plant.picking for plant in KNOWN)
    assert len(names) == len(KNOWN)


def test_cautions_are_shown_where_they_matter():
    # Comfrey alkaloids: US FDA letter, July 2001.
    assert any("alkaloids" in text for text in plant_named("comfrey").cautions)
    assert any("Stings" in text for text in plant_named("nettle").cautions)
    said = cautions_for(Step.PACK, plants_in("comfrey"))
    assert any("alkaloids" in text for text in said)
    assert any("Not for drinking" in text for text in said)
    assert any("tightly" in text for text in said)


@pytest.mark.parametrize("step", Step)
def test_every_step_has_its_cautions_each_said_once(step):
    said = cautions_for(step, KNOWN)
    assert said
    assert len(set(said)) == len(said)


@pytest.mark.parametrize("name", ["Nettle", " nettles ", "NETTLE", "stinging nettle"])
def test_a_plant_is_found_however_it_is_written(name):
    assert plant_named(name).name == "nettle"


def test_an_unknown_plant_points_to_those_spelled_nearly_so():
    with pytest.raises(NotebookError) as caught:
        plant_named("netle")
    assert "'netle' is not a plant" in caught.value.what
    assert "nettle" in caught.value.remedy


def test_the_growers_own_plant_comes_first():
    mine = own_plant("Nettle", Moisture.JUICY)
    assert plant_named("nettle", [mine]).moisture is Moisture.JUICY
    assert find_plant("sweet cicely", [mine]) is None


def test_a_plant_described_anew_keeps_its_cautions():
    mine = own_plant("Comfrey", Moisture.MEDIUM, cautions=("Behind the shed only.",))
    found = plant_named("comfrey", [mine])
    assert found.moisture is Moisture.MEDIUM
    assert any("alkaloids" in text for text in found.cautions)
    assert found.cautions[-1] == "Behind the shed only."
    assert (found.parts, found.picking) == (plant_named("comfrey").parts, plant_named("comfrey").picking)


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a+b", "a:1", "bell\x07"])
def test_a_name_that_cannot_be_a_plants_is_refused(name):
    with pytest.raises(NotebookError):
        own_plant(name, Moisture.DRY)


def test_forty_characters_with_markup_and_emoji_are_a_name():
    name = '<b>Grandma\'s</b> & "wild" 🌿👩‍🌾 mix № 7 éàü'[:40]
    assert own_plant(name, Moisture.DRY).name == name


def test_a_blend_is_read_by_weight():
    shares = blend_from("nettles: 200g + clover:60 g")
    assert shares == (Share("nettle", 200.0), Share("clover", 60.0))
    assert blend_name(shares) == "clover + nettle"
    assert blend_g(shares) == 260.0
    assert [plant.name for plant in plants_in(blend_name(shares))] == ["clover", "nettle"]


def test_a_single_plant_is_no_blend():
    assert blend_from("nettle") == ()


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("nettle+clover", NotebookError),
        ("nettle:200g+clover", NotebookError),
        ("nettle:200g+nettles:5g", NotebookError),
        ("nettle:200+clover:5g", QuantityError),
        ("nettle:1L+clover:5g", QuantityError),
        ("nettle:200g+", NotebookError),
        ("grass:20g+nettle:5g", NotebookError),
    ],
)
def test_a_blend_that_cannot_be_is_refused(text, error):
    with pytest.raises(error):
        blend_from(text)


@given(st.floats(1, 1e4), st.floats(1, 1e4))
def test_a_blend_takes_the_sugar_of_its_parts(nettle_g, comfrey_g):
    shares = (Share("nettle", nettle_g), Share("comfrey", comfrey_g))
    sugar_g = mixed(nettle_g, RATIO_OF[Moisture.DRY]).sugar_g + mixed(comfrey_g, RATIO_OF[Moisture.JUICY]).sugar_g
    assert mixed(blend_g(shares), blend_ratio(shares)).sugar_g == pytest.approx(sugar_g)
    assert 1.0 <= blend_ratio(shares) <= 1.5


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("netle", "nettle"),
        ("Nettel", "nettle"),
        ("comfry", "comfrey"),
        ("borrage", "borage"),
        ("chikweed", "chickweed"),
    ],
)
def test_a_slip_in_a_name_is_seen(typed, meant):
    assert near_names(typed)[0] == meant


@pytest.mark.parametrize("name", ["nettle", "Nettles", "sea holly", "eggshell", "oak", "x", "", "kelp"])
def test_a_known_plant_or_quite_another_is_no_slip(name):
    assert near_names(name) == ()


def test_a_slip_in_a_plant_of_ones_own_is_seen():
    assert near_names("lemon blam", (own_plant("lemon balm", Moisture.DRY),)) == ("lemon balm",)
