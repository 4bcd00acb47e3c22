"""Labels as they are printed."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy
import pytest
import segno
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from station.domain.label_sheets import paper
from station.domain.labels import Label
from station.errors import JarsideError
from station.labels import label_svg, page_svgs, qr_modules, sheet_html

LABEL = Label(
    "comfrey-1",
    "comfrey",
    ("packed Mon 4 May 2026", "125 g + 83 g sugar (3 : 2)", "use 1 to 500: 2 mL to 1 L water"),
    "http://kitchen.local:8420/jars/comfrey-1",
)
SVG = "{http://www.w3.org/2000/svg}"


def read(svg):
    return ElementTree.fromstring(svg)  # noqa: S314 - our own output


def texts(svg):
    return [one.text for one in read(svg).iter(f"{SVG}text")]


def dark_modules(svg, size):
    """Read the QR code's path back into modules."""
    (path,) = read(svg).iter(f"{SVG}path")
    modules = [[False] * size for _ in range(size)]
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", path.get("d")):
        for column in range(int(x), int(x) + int(run)):
            modules[int(y)][column] = True
    return modules


def test_a_label_has_its_true_size_and_says_all_it_should():
    root = read(label_svg(LABEL, 64, 36))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("64mm", "36mm", "0 0 64 36")
    said = " ".join(texts(label_svg(LABEL)))
    for words in ("comfrey", "packed Mon 4 May 2026", "(3 : 2)", "NOT FOR DRINKING", "comfrey-1"):
        assert words in said


def test_the_drawn_qr_code_is_the_one_of_its_page_with_four_modules_of_white():
    # ISO/IEC 18004 asks for a quiet zone of four modules; the code itself is segno's.
    expected = [[bool(module) for module in row] for row in segno.make(LABEL.url, error="m", micro=False).matrix]
    size = len(expected) + 8
    drawn = dark_modules(label_svg(LABEL), size)
    assert [row[4:-4] for row in drawn[4:-4]] == expected
    assert not any(any(row) for row in (*drawn[:4], *drawn[-4:]))
    assert not any(any(row[:4]) or any(row[-4:]) for row in drawn)
    assert len(qr_modules(LABEL.url)) == size


@pytest.mark.parametrize(
    "url",
    [
        LABEL.url,
        "http://192.168.178.20:8420/bottles/sweet-cicely-12-b",
        f"https://garden-house.example.org:8420/jars/{'x' * 40}-1",
    ],
)
@pytest.mark.parametrize("dots", [3, 5, 8])
def test_a_reader_of_codes_finds_the_page_on_the_label(url, dots):
    """Read by another program (ZXing), from the very path that is printed, at some dots of the printer to a module."""
    size = len(qr_modules(url))
    dark = numpy.array(dark_modules(label_svg(replace(LABEL, url=url)), size))
    picture = numpy.where(dark, 0, 255).astype(numpy.uint8).repeat(dots, axis=0).repeat(dots, axis=1)
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    assert found.text == url


@given(
    st.text(
        st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\ufffe\uffff"), min_size=1, max_size=60
    ),
    st.floats(40, 200),
    st.floats(20, 150),
)
def test_any_name_on_any_size_is_well_formed_and_stays_text(name, width_mm, height_mm):
    svg = label_svg(replace(LABEL, title=name), width_mm, height_mm)
    root = read(svg)
    allowed = {f"{SVG}{tag}" for tag in ("svg", "title", "rect", "text", "path")}
    assert {one.tag for one in root.iter()} <= allowed
    assert "NOT FOR DRINKING" in texts(svg)


@pytest.mark.parametrize("size_mm", [(64, 36), (40, 20), (63.5, 38.1), (105, 148)])
def test_lines_lie_inside_the_label_and_above_the_warning(size_mm):
    long = replace(LABEL, title="stinging nettle + clover + comfrey", lines=(*LABEL.lines, "x " * 60))
    for label in (LABEL, long):
        root = read(label_svg(label, *size_mm))
        band = next(one for one in root.iter(f"{SVG}rect") if one.get("y"))
        lines = [one for one in root.iter(f"{SVG}text") if one.get("fill") is None]
        assert lines
        assert all(0 < float(one.get("y")) <= float(band.get("y")) + 0.3 for one in lines)


def test_a_sheet_prints_at_true_size_and_goes_on_at_the_free_place():
    sheet = paper("letter")
    page = sheet_html([LABEL] * 3, sheet, first=sheet.places - 1)
    assert "@page { size: 215.9mm 279.4mm; margin: 0 }" in page
    first, second = page_svgs([LABEL] * 3, sheet, first=sheet.places - 1)
    assert len(read(first).findall(f"{SVG}svg")) == 2
    (alone,) = read(second).findall(f"{SVG}svg")
    assert (float(alone.get("x")), float(alone.get("y"))) == pytest.approx(sheet.corner_mm(0), abs=0.01)


def test_markup_in_a_name_stays_text():
    page = sheet_html([replace(LABEL, title="<script>alert(1)</script> & 🌿")], paper("a4"))
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_a_label_too_small_to_read_is_refused():
    with pytest.raises(JarsideError, match="at least"):
        label_svg(LABEL, 30, 20)
