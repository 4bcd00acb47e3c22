"""Labels as a browser prints them, read by a reader of codes (ZXing): what is scanned leads to the page."""

import io
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser

from tests.cli.shell import jarside

PRINTER_DPI, SCREEN_DPI = 300, 96
ADDRESS = "http://shed.local:8420"
WIDTH_PX, HEIGHT_PX = 830, 1200


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("labels")
    jarside("jar", "pack", "borage", "--weight", "200g", "--sugar", "200g", data=folder)
    jarside("jar", "pack", '<b>Löwenzahn</b> & "früh" 🌼🌿 am Weg', "--weight", "100g", "--sugar", "80g", data=folder)
    jarside("bottle", "fill", "gift of clover", "150mL", data=folder)
    return folder


def scanned(browser: Browser, file: Path) -> list[str]:
    """Return what stands in the codes of a file, drawn as finely as a printer does."""
    page = browser.new_page(
        viewport={"width": WIDTH_PX, "height": HEIGHT_PX}, device_scale_factor=PRINTER_DPI / SCREEN_DPI
    )
    page.set_content(file.read_text(encoding="utf-8"))  # not as a document of its own: no screenshot comes of an SVG
    picture = page.screenshot(full_page=True)
    page.close()
    with Image.open(io.BytesIO(picture)) as image:
        return sorted(found.text for found in zxingcpp.read_barcodes(image.convert("L")))


@pytest.mark.parametrize("size", ["64x36", "40x20", "100x50"])
def test_a_single_label_leads_to_its_jar(browser, folder, size):
    words = ("label", "borage-1", "--size", size, "--url", ADDRESS, "--out", folder / f"{size}.svg")
    assert jarside(*words, data=folder).code == 0
    assert scanned(browser, folder / f"{size}.svg") == [f"{ADDRESS}/jars/borage-1"]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_label_of_a_sheet_leads_to_its_own_page(browser, folder, paper):
    jars = [one["id"] for one in jarside("jar", "list", "--json", data=folder).json]
    file = folder / f"{paper}.html"
    words = ("label", *jars, "gift-of-clover-a", "--sheet", paper, "--start", "5", "--url", ADDRESS, "--out", file)
    assert jarside(*words, data=folder).code == 0
    pages = [*(f"{ADDRESS}/jars/{name}" for name in jars), f"{ADDRESS}/bottles/gift-of-clover-a"]
    assert scanned(browser, file) == sorted(pages)
