"""What the first page weighs as it is sent: 60 kB in all and 15 kB of script at most, counted byte by byte."""

import re
from pathlib import Path

from fastapi.testclient import TestClient

from dashboard.frame import STATIC, static_url
from tests.dashboard.world import Shelf, a_kitchen

PAGE_MOST, SCRIPT_MOST = 60_000, 15_000
NAMED = re.compile(r'<(?:link|script)\b[^>]*?\b(?:href|src)="([^"]+)"')
LIKE_A_BROWSER = {"accept-encoding": "gzip, deflate, br"}


def sent_bytes(client: TestClient, path: str) -> int:
    """Return how long an answer is on the wire: its body as it is sent, and its head."""
    with client.stream("GET", path, headers=LIKE_A_BROWSER) as answer:
        assert answer.status_code == 200, path
        head = sum(len(name) + len(value) + 4 for name, value in answer.headers.items())
        return head + sum(len(part) for part in answer.iter_raw())


def test_the_first_page_with_all_that_it_names_is_light(kitchen: Shelf) -> None:
    with kitchen.client() as client:
        named = set(NAMED.findall(client.get("/").text))
        weights = {path: sent_bytes(client, path) for path in ("/", *named)}
    kinds = {Path(path.partition("?")[0]).suffix for path in named}
    assert {".css", ".js", ".svg", ".png"} <= kinds, "nothing was overlooked"
    assert sum(weights.values()) < PAGE_MOST, weights


def test_all_scripts_together_are_light(kitchen: Shelf) -> None:
    scripts = [path.name for path in STATIC.glob("*.js")]
    with kitchen.client() as client:
        assert scripts
        assert sum(sent_bytes(client, static_url(name)) for name in scripts) < SCRIPT_MOST
    assert sum((STATIC / name).stat().st_size for name in scripts) < SCRIPT_MOST, "even before they are packed"


def test_pages_are_sent_packed(tmp_path: Path) -> None:
    with a_kitchen(tmp_path).client() as client:
        assert client.get("/", headers=LIKE_A_BROWSER).headers["content-encoding"] == "gzip"
        assert sent_bytes(client, "/") < len(client.get("/").content) / 2
