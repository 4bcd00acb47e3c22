"""Makes the icons of the installed page from icon.svg, in a browser: python -m tests.browser.icons"""

from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.gallery import ARGUMENTS, CHROMIUM

STATIC = Path(__file__).parents[2] / "dashboard" / "static"
SIZES = (192, 512)


def main() -> None:
    drawing = (STATIC / "icon.svg").read_text(encoding="utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        for size in SIZES:
            page = browser.new_page(viewport={"width": size, "height": size})
            # The corners are filled, so that a round or a square mask may cut them as it likes.
            page.set_content(f"<body style='margin:0;background:#f3e6cf'>{drawing}</body>")
            page.screenshot(path=STATIC / f"icon-{size}.png")
        browser.close()


if __name__ == "__main__":
    main()
