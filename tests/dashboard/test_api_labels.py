"""Labels for programs: the drawings that the pages show, and sheets of true size."""

from xml.etree import ElementTree

import pytest

from tests.dashboard.world import Shelf

EVIL = "borage <script>alert(1)</script> & co"


def drawn(svg: str) -> ElementTree.Element:
    """Return a drawing, which must be well-formed and hold no script."""
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own drawing
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.find(".//{http://www.w3.org/2000/svg}script") is None
    return root


@pytest.mark.parametrize("path", ["/jars/comfrey-1/label", "/bottles/nettle-1-a/label"])
def test_a_label_is_the_one_its_page_shows(stocked: Shelf, path: str) -> None:
    with stocked.client() as client:
        answer, page = client.get(f"/api{path}"), client.get(path)

    assert answer.headers["content-type"] == "image/svg+xml"
    assert path.split("/")[2] in "".join(drawn(answer.text).itertext())
    assert answer.text in page.text


def test_markup_in_a_name_stays_text(stocked: Shelf) -> None:
    jar = stocked.pack(EVIL)
    with stocked.client() as client:
        svg = client.get(f"/api/jars/{jar.id}/label").text
    assert "<script>" in "".join(drawn(svg).itertext())


def test_a_name_with_signs_that_no_drawing_may_hold_is_drawn_without_them(stocked: Shelf) -> None:
    """XML 1.0 (section 2.2) has no place for most control characters."""
    jar = stocked.pack("white\x01 cl\x0bover\ufffe")
    with stocked.client() as client:
        alone = client.get(f"/api/jars/{jar.id}/label").text
        (page,) = client.get("/api/labels", params={"name": jar.id}).json()["pages"]
    assert all("hite clover" in "".join(drawn(one).itertext()) for one in (alone, page))


def test_a_sheet_is_of_the_papers_true_size_with_every_copy_on_it(stocked: Shelf) -> None:
    """ISO 216: A4 is 210 by 297 mm, and holds three columns by eight rows of 63.5 by 33.9 mm."""
    query = {"name": ["comfrey-1", "nettle-1-a"], "width_mm": 63.5, "height_mm": 33.9, "copies": 13}
    with stocked.client() as client:
        told = client.get("/api/labels", params=query).json()

    assert (told["paper"], told["width_mm"], told["height_mm"]) == ("a4", 210.0, 297.0)
    assert [page.count("Label of") for page in told["pages"]] == [24, 2]
    assert all(drawn(page).get("width") == "210mm" for page in told["pages"])


@pytest.mark.parametrize(
    ("query", "status", "said"),
    [
        ({}, 422, "name"),
        ({"name": "comfrey-9"}, 404, "comfrey-9"),
        ({"name": "comfrey-1", "paper": "a3"}, 422, "paper"),
        ({"name": "comfrey-1", "width_mm": 60}, 409, "go together"),
        ({"name": "comfrey-1", "width_mm": 10, "height_mm": 10}, 409, "10 × 10 mm"),
        ({"name": "comfrey-1", "first": 99}, 409, "place 99"),
        ({"name": ["comfrey-1"] * 5, "copies": 100}, 409, "500 labels"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(stocked: Shelf, query: dict[str, object], status: int, said: str) -> None:
    with stocked.client() as client:
        answer = client.get("/api/labels", params=query)  # type: ignore[arg-type]
    assert (answer.status_code, said in answer.json()["what"]) == (status, True), answer.text
