"""The manifest of the installed page: what a browser needs to offer "add to home screen" (W3C Web App Manifest)."""

import struct

from tests.dashboard.world import Shelf


def test_the_manifest_names_icons_of_the_sizes_it_says(shelf: Shelf) -> None:
    with shelf.client() as client:
        answer = client.get("/manifest.webmanifest")
        manifest = answer.json()
        icons = {icon["src"]: icon["sizes"] for icon in manifest["icons"]}
        drawn = {src: client.get(src).content for src in icons}

    assert answer.headers["content-type"] == "application/manifest+json"
    assert manifest["start_url"] == "/"
    assert manifest["display"] == "standalone"
    for src, content in drawn.items():
        assert content[:8] == b"\x89PNG\r\n\x1a\n"
        width, height = struct.unpack(">II", content[16:24])  # the IHDR chunk (PNG specification 11.2.1)
        assert f"{width}x{height}" == icons[src]


def test_every_page_leads_to_the_manifest(shelf: Shelf) -> None:
    with shelf.client() as client:
        assert '<link rel="manifest" href="/manifest.webmanifest">' in client.get("/").text
