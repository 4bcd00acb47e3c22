"""A season's figures add up."""

from datetime import timedelta

import pytest

from station.domain.bottling import Drawn, Filled, bottle_from
from station.domain.feeding import Fed, Method
from station.domain.jars import Bottled, Discarded, Judged, Judgement, Packed, Strained, jar_from
from station.domain.season import JarWarmth, season
from tests.builders import START


def day(days):
    return START + timedelta(days=days)


def a_jar(jar_id, plant, days=6.0, plant_g=250.0, juice_ml=300.0, judgement=Judgement.RIGHT, packed=0.0):
    end = packed + days
    return jar_from(
        [
            Packed(jar_id, day(packed), plant, 2000.0, plant_g, 200.0),
            Strained(jar_id, day(end)),
            Judged(jar_id, day(end), judgement),
            Bottled(jar_id, day(end + 0.5), juice_ml),
        ]
    )


def a_bottle(bottle_id, plant, volume_ml=300.0, drawn_ml=0.0):
    entries = [Filled(bottle_id, day(7), "", plant, volume_ml)]
    return bottle_from(entries + ([Drawn(bottle_id, day(8), drawn_ml)] if drawn_ml else []))


def fed(bottle_id, juice_ml, method=Method.DRENCH, at=8):
    return Fed("fed-1", day(at), method, juice_ml, juice_ml * 500, bottle_id=bottle_id)


def test_a_seasons_figures_add_up_by_hand():
    mouldy = jar_from(
        [Packed("comfrey-3", day(1), "comfrey", 1000.0, 125.0, 125.0), Discarded("comfrey-3", day(4), "mould")]
    )
    jars = [a_jar("comfrey-1", "comfrey"), a_jar("comfrey-2", "comfrey", 8.0, 150.0, 100.0, Judgement.TOO_LATE), mouldy]
    found = season(
        [*jars, a_jar("yarrow-1", "yarrow", judgement=Judgement.TOO_EARLY)],
        [a_bottle("b1", "comfrey", 400.0, 20.0), a_bottle("b2", "yarrow")],
        [fed("b1", 15.0), fed("b1", 5.0, Method.LEAF_SPRAY), fed("", 1.0)],
        [JarWarmth("comfrey-1", 5.4), JarWarmth("comfrey-2", 6.2), JarWarmth("comfrey-3", 3.0)],
    )
    comfrey, yarrow = found.plants
    assert (comfrey.plant, comfrey.jars, comfrey.strained, comfrey.discarded) == ("comfrey", 3, 2, 1)
    assert comfrey.plant_g == 525.0
    assert comfrey.juice_ml == 400.0
    assert comfrey.juice_ml_per_kg == pytest.approx(400.0 / 0.4)
    assert comfrey.mean_days == pytest.approx(7.0)
    assert comfrey.mean_warm_days == pytest.approx(5.8)
    assert (comfrey.right, comfrey.too_early, comfrey.too_late) == (1, 0, 1)
    assert (comfrey.bottles, comfrey.filled_ml, comfrey.left_ml, comfrey.fed_ml) == (1, 400.0, 380.0, 20.0)
    assert yarrow.too_early == 1
    assert yarrow.mean_warm_days is None
    assert found.fed == (("drench", 2, 16.0), ("leaf spray", 1, 5.0))


def test_only_what_lies_within_the_season_counts():
    jars = [a_jar("comfrey-1", "comfrey"), a_jar("comfrey-2", "comfrey", packed=400)]
    found = season(jars, feedings=[fed("", 3.0, at=399)], since_at=day(0), until_at=day(365))
    assert found.plants[0].jars == 1
    assert found.fed == ()


def test_an_empty_season_is_empty():
    assert season([]).plants == ()


def test_a_jar_never_weighed_gives_no_juice_per_kilogram():
    (only,) = season([a_jar("comfrey-1", "comfrey", plant_g=None)]).plants
    assert only.juice_ml_per_kg is None
    assert only.juice_ml == 300.0


def test_last_years_bottle_still_names_its_plant():
    (only,) = season([], [a_bottle("b1", "comfrey")], [fed("b1", 5.0, at=10)], since_at=day(9)).plants
    assert (only.plant, only.jars, only.bottles, only.fed_ml) == ("comfrey", 0, 0, 5.0)
