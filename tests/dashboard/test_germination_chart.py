"""Germination curves: read in black and white, names never on one another, and text only text."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.germination_chart import LINE_HEIGHT, Curve, GerminationChart, germination_svg

SPACE = "{http://www.w3.org/2000/svg}"


def a_curve(name: str = "soaked", last: float = 87.5, low: float = 74.0, high: float = 95.0) -> Curve:
    return Curve(name, ((0.0, 0.0), (3.1, last / 2.0), (6.1, last)), low, high)


def drawn(*curves: Curve) -> ElementTree.Element:
    chart = GerminationChart("germination", "Germination of <b>", "What came up & when.", curves)
    return ElementTree.fromstring(germination_svg(chart))  # noqa: S314 - our own drawing


def texts(svg: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in svg.iter("text")]


def test_every_arm_has_a_curve_a_mark_for_each_count_its_range_and_its_name() -> None:
    svg = drawn(a_curve(), a_curve("plain", 57.5, 42.0, 71.0))

    lines = [one for one in svg.iter("path") if one.get("class") == "arm-line"]
    assert [len(re.findall("[ML]", line.get("d", ""))) for line in lines] == [3, 3]
    assert len([one for one in svg.iter("path") if one.get("class") == "arm-range"]) == 2
    assert {"soaked", "plain", "days since sowing", "%", "0", "100"} <= set(texts(svg))


def test_arms_are_told_apart_without_colour() -> None:
    svg = drawn(*[a_curve(name, 20.0 * n + 10.0) for n, name in enumerate(("a", "b", "c", "d"))])

    marks = [one.get("d", "") for one in svg.iter("path") if one.get("class") == "arm-mark"]
    shapes = {re.sub(r"[-\d. ]+", "", mark)[:4] for mark in marks[:4]}
    assert len(shapes) == 4 or len({mark.split("l")[-1] for mark in marks[:4]}) == 4
    assert {one.get("class") for one in svg.iter("g")} == {"arm-0", "arm-1", "arm-2", "arm-3"}


def test_a_share_stands_where_the_axis_says() -> None:
    svg = drawn(Curve("all", ((0.0, 0.0), (5.0, 100.0)), 83.0, 100.0))

    (line,) = (one.get("d", "") for one in svg.iter("path") if one.get("class") == "arm-line")
    first, last = (tuple(map(float, place.split())) for place in line[1:].split("L"))
    heights = {one.text: float(one.get("y", "")) - 4.0 for one in svg.iter("text") if one.get("text-anchor") == "end"}
    assert first[1] == pytest.approx(heights["0"], abs=0.1)
    assert last[1] == pytest.approx(heights["100"], abs=0.1)


def test_title_and_names_are_only_text() -> None:
    chart = GerminationChart("germination", "<script>", "<i>", (a_curve("<b>x</b>"),))

    assert not re.search("<(script|i|b)>", germination_svg(chart))


def test_a_long_name_is_cut() -> None:
    assert any(text.endswith("…") for text in texts(drawn(a_curve("soaked overnight in thinned juice"))))


@given(st.lists(st.floats(0.0, 100.0), min_size=1, max_size=6))
def test_names_never_stand_on_one_another(shares: list[float]) -> None:
    svg = drawn(*[a_curve(f"arm {n}", share) for n, share in enumerate(shares)])

    names = [float(one.get("y", "")) for one in svg.iter("text") if one.get("class") == "arm-name"]
    gaps = [after - before for before, after in zip(sorted(names), sorted(names)[1:], strict=False)]
    assert len(names) == len(shares)
    assert all(gap >= LINE_HEIGHT - 0.11 for gap in gaps)
    assert min(names) > 0.0
