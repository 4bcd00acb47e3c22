"""Every page in every state before the Nu HTML checker (vnu-jar), which reads HTML, SVG and ARIA by their standards."""

import json
import re
import shutil
import subprocess
import tarfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from dashboard.app import create_app
from tests.dashboard.doors import a_browser, log_in
from tests.dashboard.forming import mark_of
from tests.dashboard.places import ASKED_WRONG, LOGIN, PROTECTED, REFUSED, WORLDS, a_closed_shelf, everywhere
from tests.npm import packed, unavailable

CHECKER = "vnu-jar@26.9.27"
STATIC = Path(__file__).parents[2] / "dashboard" / "static"


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Every page as it is sent: by its state, its address and how it was asked for."""
    found: dict[str, str] = {}
    for state, build in WORLDS.items():
        with build(tmp_path_factory.mktemp(state)).client() as client:
            found |= {f"{state} {name}": page for name, page in _of(client, state)}
    found |= {f"closed {name}": page for name, page in _closed(tmp_path_factory.mktemp("closed"))}
    return found


def _of(client: TestClient, state: str) -> Iterator[tuple[str, str]]:
    for path in everywhere()[state]:
        answer = client.get(path)
        assert answer.status_code == 200, f"{state} {path}: {answer.status_code}"
        yield path, answer.text
    for path, wrong in REFUSED.get(state, {}).items():
        answer = client.post(path, data={"mark": mark_of(client.get(path).text), **wrong}, follow_redirects=False)
        assert answer.status_code == 200, f"{state} {path} {wrong}: {answer.status_code}"
        yield f"{path} refused", answer.text
    for path, status in ASKED_WRONG.get(state, {}).items():
        answer = client.get(path)
        assert answer.status_code == status, f"{state} {path}: {answer.status_code}"
        yield path, answer.text


def _closed(folder: Path) -> Iterator[tuple[str, str]]:
    shelf = a_closed_shelf(folder)
    app = create_app(shelf.settings, shelf.folder, lambda: shelf.now_at)
    with TestClient(app):
        browser = a_browser(app)
        for path in LOGIN:
            yield path, browser.get(path).text
        yield "/login refused", log_in(browser, "something else").text
        log_in(browser)
        for path in PROTECTED:
            answer = browser.get(path)
            assert answer.status_code == 200
            yield path, answer.text


def checked(folder: Path) -> list[str]:
    """Return every error that the checker finds in the files of a folder."""
    java = shutil.which("java")
    if java is None:
        unavailable("the Nu HTML checker needs java, which is not installed")
    with tarfile.open(packed(CHECKER, "the Nu HTML checker")) as archive:
        archive.extract("package/build/dist/vnu.jar", folder.parent, filter="data")
    checker = folder.parent / "package" / "build" / "dist" / "vnu.jar"
    command = [java, "-Xss4m", "-jar", str(checker), "--errors-only", "--also-check-css", "--also-check-svg"]
    run = subprocess.run(
        [*command, "--format", "json", str(folder)], capture_output=True, text=True, timeout=600, check=False
    )
    messages = json.loads(run.stderr)["messages"]
    return [f"{Path(one['url']).name}: {one['message']} … {one.get('extract', '')}" for one in messages]


def test_no_page_in_any_state_has_an_error(pages: dict[str, str], tmp_path: Path) -> None:
    folder = tmp_path / "pages"
    folder.mkdir()
    for name, page in pages.items():
        (folder / f"{re.sub('[^a-z0-9]+', '_', name.lower())[:180]}.html").write_text(page, encoding="utf-8")
    assert len(list(folder.iterdir())) == len(pages)
    for file in STATIC.iterdir():
        if file.suffix in (".css", ".svg"):
            shutil.copy(file, folder)
    (folder / "wrong.html").write_text("<!doctype html><title>a page of old</title><center>", encoding="utf-8")

    errors = checked(folder)

    assert any(error.startswith("wrong.html") for error in errors), "the checker finds nothing at all"
    ours = [error for error in errors if not error.startswith("wrong.html")]
    assert not ours, "\n".join(ours)
