"""What stands on labels, and where on a sheet they go."""

import re
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.domain.bottling import Filled, bottle_from
from station.domain.jars import Jar, Strained, jar_from
from station.domain.jars import Packed as PackedEntry
from station.domain.label_sheets import PAPERS, check_size, laid_out, paper
from station.domain.labels import bottle_label, jar_label
from station.domain.packing import Packing
from station.domain.preparations import Preparation
from station.domain.quantities import Measures
from station.domain.storage import Keeping, Storage
from station.errors import JarsideError
from tests.builders import START
from tests.store.worlds import an_outlook

LISBON = ZoneInfo("Europe/Lisbon")
URL = "http://kitchen.local:8420/jars/comfrey-1"


def a_jar(**changes) -> Jar:
    how = {"plant_g": 125.0, "sugar_g": 83.0} | changes
    return jar_from([PackedEntry("comfrey-1", START, "comfrey", 1000.0, **how)])


def said(label):
    return "\n".join(label.lines).replace("\u00a0", " ")


def test_a_jars_label_tells_what_when_and_how_thin():
    outlook = an_outlook(ready_early_at=START + timedelta(days=5), ready_late_at=START + timedelta(days=7))
    label = jar_label(a_jar(), outlook, URL, LISBON)
    assert (label.id, label.title, label.url, label.warning) == ("comfrey-1", "comfrey", URL, "Not for drinking")
    assert said(label).splitlines() == [
        "packed Mon 4 May 2026",
        "ready Sat 9 May to Mon 11 May",
        "125 g + 83 g sugar (3 : 2)",
        "use 1 to 500: 2 mL to 1 L water",
    ]


def test_a_label_speaks_the_growers_measures():
    text = said(jar_label(a_jar(), None, URL, LISBON, Measures.US))
    assert "4.4 oz + 2.9 oz sugar" in text
    # A US gallon is 768 teaspoons: a five-hundredth of it is 1.536.
    assert "use 1 to 500: 1.54 tsp to 1 gal water" in text


def test_what_is_not_known_is_left_out():
    text = said(jar_label(a_jar(plant_g=None, sugar_g=None), None, URL, LISBON))
    assert "ready" not in text
    assert "plant ferment" in text
    assert "125 g" in said(jar_label(a_jar(sugar_g=None), None, URL, LISBON))


def test_a_preparation_that_goes_by_days_has_its_day_and_no_dilution():
    text = said(jar_label(a_jar(packing=Packing(Preparation.STEEP, 10.0)), None, URL, LISBON))
    assert "due Thu 14 May 2026" in text
    assert text.startswith("water steep\n")
    assert "1 to 500" not in text


def test_a_strained_jar_says_so():
    jar = jar_from([PackedEntry("c", START, "comfrey", 1000.0), Strained("c", START + timedelta(days=6))])
    assert "strained Sun 10 May 2026" in said(jar_label(jar, None, URL, LISBON))


def test_a_bottles_label_tells_until_when_it_keeps():
    bottle = bottle_from([Filled("comfrey-1-a", START, "comfrey-1", "comfrey", 200.0, storage=Storage.ROOM)])
    text = said(bottle_label(bottle, URL, LISBON, keeping=Keeping(room_days=10)))
    assert "bottled Mon 4 May 2026" in text
    assert "use by Thu 14 May 2026, kept at room temperature" in text
    assert "200 mL, from jar comfrey-1" in text


def test_no_line_ends_within_a_date():
    outlook = an_outlook(ready_early_at=START + timedelta(days=5), ready_late_at=START + timedelta(days=7))
    label = jar_label(a_jar(), outlook, URL, LISBON)
    assert "packed Mon\u00a04\u00a0May\u00a02026" in label.lines
    ready = next(line for line in label.lines if line.startswith("ready"))
    assert all(re.fullmatch(r"\w{3}\u00a0\d{1,2}\u00a0\w{3}", part) for part in ready[6:].split(" to ")), ready


@pytest.mark.parametrize(("name", "width_mm", "height_mm"), [("a4", 210.0, 297.0), ("letter", 215.9, 279.4)])
def test_papers_have_their_true_size(name, width_mm, height_mm):
    # ISO 216 A4, and 8.5 × 11 inches.
    sheet = paper(name)
    assert (sheet.width_mm, sheet.height_mm) == (width_mm, height_mm)
    assert sheet.columns == 3


@given(
    st.sampled_from(PAPERS), st.floats(40.0, 190.0), st.floats(20.0, 250.0), st.floats(0.0, 10.0), st.floats(0.0, 10.0)
)
def test_labels_lie_on_the_paper_and_not_on_each_other(name, w_mm, h_mm, gap_x_mm, gap_y_mm):
    sheet = paper(name, (w_mm, h_mm), gap_mm=(gap_x_mm, gap_y_mm))
    corners = [sheet.corner_mm(place) for place in range(sheet.places)]
    assert all(x_mm >= -1e-6 and x_mm + w_mm <= sheet.width_mm + 1e-6 for x_mm, _ in corners)
    assert all(y_mm >= -1e-6 and y_mm + h_mm <= sheet.height_mm + 1e-6 for _, y_mm in corners)
    steps = {(round(x_mm / (w_mm + gap_x_mm), 3), round(y_mm / (h_mm + gap_y_mm), 3)) for x_mm, y_mm in corners}
    assert len(steps) == sheet.places


@pytest.mark.parametrize(
    ("name", "how"),
    [
        ("a5", {}),
        ("a4", {"label_mm": (10.0, 10.0)}),
        ("a4", {"label_mm": (250.0, 30.0)}),
        ("a4", {"label_mm": (float("nan"), 30.0)}),
        ("a4", {"margin_mm": (-1.0, 0.0)}),
        ("a4", {"margin_mm": (200.0, 0.0)}),
        ("a4", {"label_mm": (64.0, 36.0), "gap_mm": (-5.0, 0.0)}),
        ("a4", {"label_mm": (200.0, 36.0), "margin_mm": (20.0, 0.0)}),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(name, how):
    with pytest.raises(JarsideError):
        paper(name, **how)


def test_a_started_sheet_is_gone_on_with():
    sheet = paper("a4")
    assert laid_out(2, sheet, 1) == ((0, 0), (0, 1))
    assert laid_out(2, sheet, sheet.places) == ((0, sheet.places - 1), (1, 0))
    assert laid_out(0, sheet) == ()
    for first in (0, sheet.places + 1):
        with pytest.raises(JarsideError, match="place"):
            laid_out(1, sheet, first)


def test_a_label_must_be_readable():
    with pytest.raises(JarsideError, match="at least 40 × 20"):
        check_size(39.0, 20.0)
