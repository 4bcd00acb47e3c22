"""How much juice can come out of a jar."""

import pytest

from station.domain.collecting import check_juice, jar_warnings, juice_warning
from station.domain.jars import Jar
from station.domain.packing import Packing
from station.domain.preparations import Preparation
from station.errors import NotebookError
from tests.builders import START


def a_jar(juice_ml=None, **changes):
    return Jar(
        "comfrey-1",
        "comfrey",
        START,
        **{"jar_ml": 1000.0, "plant_g": 125.0, "sugar_g": 125.0, **changes},
        juice_ml=juice_ml,
    )


@pytest.mark.parametrize("juice_ml", [None, 0.1, 250.0, 1000.0])
def test_what_a_jar_holds_may_come_out_of_it(juice_ml):
    check_juice(a_jar(), juice_ml)


def test_more_than_it_holds_cannot():
    with pytest.raises(NotebookError, match=r"5 L .* from jar comfrey-1, which holds 1 L"):
        check_juice(a_jar(), 5000.0)


def test_more_than_plant_and_sugar_weigh_is_warned_of():
    # Water weighs 1 g a mL and syrup more (CRC Handbook: sucrose solutions of 1.00 to 1.45 g/mL), so 250 g in all make
    # less than 250 mL.
    assert juice_warning(a_jar(250.0)) == ""
    said = juice_warning(a_jar(260.0))
    assert said.startswith("260 mL")
    assert "more than the 250 g" in said
    assert jar_warnings(a_jar(260.0))[-1] == said


@pytest.mark.parametrize(
    "jar",
    [
        a_jar(),
        a_jar(900.0, plant_g=None),
        a_jar(900.0, sugar_g=None),
        a_jar(900.0, packing=Packing(Preparation.VINEGAR, 10.0)),  # the vinegar went in too
    ],
)
def test_where_it_cannot_be_told_nothing_is_said(jar):
    assert juice_warning(jar) == ""
