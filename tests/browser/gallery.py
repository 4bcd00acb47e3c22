"""Makes the README's pictures from the demo: python -m tests.browser.gallery [FOLDER]

Starts `jarside demo` on a free port, takes every page on a phone in the dark and on a desk by day, and ends it.
"""

import io
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Literal

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
PAGES = {
    "shelf": "/",
    "jars": "/jars?show=all",
    "jar": "/jars/borage-1",
    "pack": "/jars/pack?plant=comfrey&weight=260g&size=2L",
    "note": "/jars/borage-1/note",
    "strain": "/jars/borage-1/strain",
    "judge": "/jars/dandelion-1/judge",
    "collect": "/jars/comfrey-1/bottle",
    "correct": "/jars/borage-1/correct",
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
SHOTS: tuple[tuple[int, Literal["dark", "light"]], ...] = ((390, "dark"), (1280, "light"))
PLAYED_WITHIN_S = 120.0
INSTALLED = """() => {
  for (const code of document.querySelectorAll("code"))
    code.textContent = code.textContent.replace(/\\/\\S*jarside-demo-\\w+/, "/var/lib/jarside");
}"""
"""The demo's folder has a name of the moment; the pictures show that of an installed station."""
WORDS = "plum lantern gravel nine"


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
    """Take every page; at the end set a passphrase, and take the login that is then asked for."""
    for width, scheme in SHOTS:
        with a_window(browser, width, scheme) as page:
            for name, path in PAGES.items():
                answer = page.goto(url + path)
                assert answer is not None and answer.ok, path  # noqa: PT018
                if name == "replay":
                    page.get_by_role("button", name="Play it").click(timeout=PLAYED_WITHIN_S * 1000.0)
                    page.get_by_label("Slide through the days").wait_for(timeout=PLAYED_WITHIN_S * 1000.0)
                take(page, folder / f"{name}-{width}-{scheme}.png")
    with a_window(browser, *SHOTS[0]) as page:
        page.goto(f"{url}/access")
        for label in ("The new passphrase", "The new one again"):
            page.get_by_label(label, exact=True).fill(WORDS)
        page.get_by_role("button", name="Set it").click()
        page.wait_for_load_state("load")
    for width, scheme in SHOTS:
        with a_window(browser, width, scheme) as page:
            page.goto(url)
            take(page, folder / f"login-{width}-{scheme}.png")


@contextmanager
def a_window(browser: Browser, width: int, scheme: Literal["dark", "light"]) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    yield context.new_page()
    context.close()


def take(page: Page, file: Path) -> None:
    """Take a picture of the whole page, in 256 colours: a third as large, and nobody sees it."""
    page.wait_for_load_state("load")
    page.evaluate(INSTALLED)
    with Image.open(io.BytesIO(page.screenshot(full_page=True))) as picture:
        few = picture.convert("RGB").quantize(256, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        few.save(file, optimize=True)


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
