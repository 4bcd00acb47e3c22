"""What a phone asks for to put the pages on its first screen."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from dashboard.frame import Frame, static_url

PAPER = "#f4ecdc"
SIZES = (192, 512)


class ManifestPage:
    """The manifest of the installed page."""

    def __init__(self, frame: Frame) -> None:
        self._name = frame.desk.settings.station

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/manifest.webmanifest", self.manifest)]

    def manifest(self, _: Request) -> Response:
        """Name, colours and icons."""
        icons = [
            {"src": static_url(f"icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png", "purpose": purpose}
            for size in SIZES
            for purpose in ("any", "maskable")
        ]
        content = {
            "id": "/",
            "name": f"Jarside, {self._name}",
            "short_name": "Jarside",
            "start_url": "/",
            "scope": "/",
            "display": "standalone",
            "background_color": PAPER,
            "theme_color": PAPER,
            "icons": icons,
        }
        return JSONResponse(content, media_type="application/manifest+json")
