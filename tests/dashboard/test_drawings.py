"""The drawings are read back as XML; what they look like is for eyes, what they mean is tested here."""

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.frame import STATIC, TEMPLATES
from dashboard.jar_drawing import BRIM, CLOTHS, FLOOR, LEAVES, JarPicture, jar_svg
from dashboard.shelf_drawing import BEAM, EMPTY_PLACE, Daylight, daylight_at, daylight_by_clock, station_svg, window_svg
from station.domain.jars import Stage

SHAPES = (TEMPLATES / "shapes.svg").read_text(encoding="utf-8")


def a_picture(**changes: object) -> JarPicture:
    picture = JarPicture("comfrey-1", "comfrey", Stage.WORKING, 0.5, 0.82, 1.22, 5.5, "day 3")
    return replace(picture, **changes)  # type: ignore[arg-type]


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own drawing


def juice_y(picture: JarPicture) -> float:
    """Where the surface of the juice begins at the left wall."""
    (surface,) = [one for one in parsed(jar_svg(picture)).iter() if one.get("class") == "surface"]
    found = re.match(r"M28 ([\d.]+)", surface.get("d", ""))
    assert found is not None
    return float(found[1])


def test_the_juice_rises_as_warmth_comes_in() -> None:
    levels = [juice_y(a_picture(level=level)) for level in (0.1, 0.4, 0.7, 1.0, 1.2)]

    assert all(other < one for one, other in pairwise(levels))
    assert juice_y(a_picture(level=1.0)) == pytest.approx(BRIM)


def test_a_jar_of_unknown_warmth_is_drawn_without_juice_or_sugar_and_with_a_question_mark() -> None:
    drawn = list(parsed(jar_svg(a_picture(level=None))).iter())
    classes = {one.get("class") for one in drawn}

    assert classes.isdisjoint({"surface", "sugar", "ready-band", "tape-marks"})
    assert "?" in {one.text for one in drawn}
    assert "?" not in {one.text for one in parsed(jar_svg(a_picture(level=0.0))).iter()}


def test_a_fresh_jar_has_no_juice_but_a_sugar_cap() -> None:
    classes = [one.get("class") for one in parsed(jar_svg(a_picture(level=0.0))).iter()]

    assert "sugar" in classes
    assert "surface" not in classes
    assert "sugar" not in [one.get("class") for one in parsed(jar_svg(a_picture(level=0.6))).iter()]


def test_the_tape_has_a_mark_for_each_warm_day_up_to_the_end_of_ready() -> None:
    (marks,) = [one for one in parsed(jar_svg(a_picture())).iter() if one.get("class") == "tape-marks"]

    assert marks.get("d", "").count("M") == int(5.5 * 1.22)


def test_ready_begins_and_ends_where_the_need_does() -> None:
    (band,) = [one for one in parsed(jar_svg(a_picture())).iter() if one.get("class") == "ready-band"]

    y, height = float(band.get("y", "0")), float(band.get("height", "0"))
    assert y == pytest.approx(juice_y(a_picture(level=1.22)), abs=0.1)
    assert y + height == pytest.approx(juice_y(a_picture(level=0.82)), abs=0.1)


def test_the_same_jar_always_looks_the_same_and_plants_share_their_leaf() -> None:
    def leaves(picture: JarPicture) -> set[str]:
        return set(re.findall(r"#leaf-\d", jar_svg(picture)))

    assert jar_svg(a_picture()) == jar_svg(a_picture())
    assert len(leaves(a_picture())) == 1
    assert leaves(a_picture()) == leaves(a_picture(key="comfrey-2", plant="Comfrey"))


@given(
    st.builds(
        JarPicture,
        key=st.text(max_size=12),
        plant=st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=30),
        stage=st.sampled_from(Stage),
        level=st.floats(0.0, 5.0),
        ready_low=st.floats(0.3, 1.0),
        ready_high=st.floats(1.0, 3.0),
        need=st.floats(0.0, 30.0),
        tag=st.sampled_from(["", "day 1", "day 123", "<b>"]),
    )
)
def test_any_jar_is_drawn_well_formed_within_its_glass(picture: JarPicture) -> None:
    svg = parsed(jar_svg(picture))

    assert svg.get("aria-hidden") == "true"
    surfaces = [one.get("d", "") for one in svg.iter() if one.get("class") == "surface"]
    assert all(85.0 <= float(d.split()[1].split("C")[0]) <= FLOOR for d in surfaces)


def test_everything_that_is_used_is_among_the_shared_shapes() -> None:
    shared = set(re.findall(r'id="([^"]+)"', SHAPES))
    drawings = [jar_svg(a_picture(stage=stage, key=f"{n}")) for stage in Stage for n in range(20)]
    drawings += [station_svg("good"), EMPTY_PLACE]
    used = {name for drawing in drawings for name in re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', drawing)}

    assert {one or other for one, other in used} <= shared
    assert {f"cloth-{n}" for n in range(CLOTHS)} | {f"leaf-{n}" for n in range(LEAVES)} <= shared


def test_no_drawing_needs_an_inline_style() -> None:
    drawings = [SHAPES, BEAM, EMPTY_PLACE, station_svg("act"), jar_svg(a_picture())]
    drawings += [window_svg(daylight, 0.5) for daylight in Daylight]

    for drawing in drawings:
        parsed(drawing)
        assert "style=" not in drawing
    parsed((STATIC / "icon.svg").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("elevation_deg", "azimuth_deg", "daylight"),
    [
        (-6.1, 60.0, Daylight.NIGHT),  # civil twilight ends at −6° (US Naval Observatory)
        (-5.9, 60.0, Daylight.DAWN),
        (-5.9, 300.0, Daylight.DUSK),
        (40.0, 180.0, Daylight.DAY),
    ],
)
def test_daylight_follows_the_sun(elevation_deg: float, azimuth_deg: float, daylight: Daylight) -> None:
    assert daylight_at(elevation_deg, azimuth_deg) is daylight


def test_by_the_clock_every_hour_has_a_light() -> None:
    lights = [daylight_by_clock(hour) for hour in range(24)]

    assert [lights.count(one) for one in Daylight] == [10, 2, 10, 2]


def test_the_window_has_stars_at_night_and_a_sun_by_day() -> None:
    assert 'class="star"' in window_svg(Daylight.NIGHT, 0.5)
    assert 'class="sun"' not in window_svg(Daylight.NIGHT, 0.5)
    assert 'class="sun"' in window_svg(Daylight.DAY, 0.5)
