"""Makes the README's pictures from the demo: python -m tests.browser.gallery [FOLDER]

Starts `jarside demo` on a free port, takes every page at both widths and in both schemes, and ends it.
"""

import socket
import subprocess
import sys
import time
import urllib.request
from contextlib import closing
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
PAGES = {
    "shelf": "/",
    "jars": "/jars?show=all",
    "jar": "/jars/borage-1",
    "pack": "/jars/pack?plant=comfrey&weight=260g",
    "note": "/jars/borage-1/note",
    "strain": "/jars/borage-1/strain",
    "judge": "/jars/dandelion-1/judge",
    "collect": "/jars/comfrey-1/bottle",
    "discard": "/jars/chickweed-1/discard",
    "label": "/jars/borage-1/label",
    "labels": "/labels",
    "labels-sheet": "/labels/sheet?name=borage-1&name=comfrey-a&paper=a4",
    "bottles": "/bottles",
    "bottle": "/bottles/comfrey-a",
    "bottle-use": "/bottles/comfrey-a/use",
    "bottle-new": "/bottles/new",
    "feeding": "/feeding",
    "can": "/feeding/can?can=10+L",
    "give": "/feeding/give?round=seedlings-on-the-sill-1",
    "round": "/feeding/rounds/new",
    "trials": "/trials",
    "trial": "/trials/lettuce-1",
    "trial-count": "/trials/lettuce-1/count",
    "trial-sow": "/trials/sow",
    "plants": "/plants",
    "mix": "/mix?plant=comfrey&weight=260g",
    "climate-day": "/climate?span=day",
    "climate": "/climate?span=week",
    "survey": "/survey",
    "replay": "/replay",
    "alerts": "/alerts",
    "setup": "/setup",
    "settings": "/setup/settings",
    "access": "/access",
}
SHOTS = [(width, scheme) for width in (390, 1280) for scheme in ("light", "dark")]


def free_port() -> int:
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_for(url: str, within_s: float = 180.0) -> None:
    until = time.monotonic() + within_s
    while True:
        try:
            urllib.request.urlopen(url, timeout=2).read()  # noqa: S310 - loopback
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.5)
        else:
            return


def shoot(browser: Browser, url: str, folder: Path) -> None:
    for width, scheme in SHOTS:
        context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
        page = context.new_page()
        for name, path in PAGES.items():
            page.goto(url + path)
            page.wait_for_load_state("load")
            page.screenshot(path=folder / f"{name}-{width}-{scheme}.png", full_page=True)
        context.close()


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    demo = subprocess.Popen([sys.executable, "-m", "station", "demo", "--port", str(port), "--speed", "1"])
    try:
        wait_for(url + "/")
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
            shoot(browser, url, folder)
            browser.close()
    finally:
        demo.terminate()
        demo.wait(timeout=15)


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "dashboard/gallery"))
