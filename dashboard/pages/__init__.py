"""The pages: each asks a few questions of the books, lets a view answer, and fills a template."""

from starlette.routing import BaseRoute

from dashboard.frame import Frame
from dashboard.pages.alerts import AlertPages
from dashboard.pages.bottles import BottlePages
from dashboard.pages.climate import ClimatePages
from dashboard.pages.jar_forms import JarForms
from dashboard.pages.jars import JarPages
from dashboard.pages.manifest import ManifestPage
from dashboard.pages.packing import PackPages
from dashboard.pages.shelf import ShelfPages

PAGES = (ShelfPages, PackPages, JarForms, JarPages, BottlePages, ClimatePages, AlertPages, ManifestPage)


def page_routes(frame: Frame) -> list[BaseRoute]:
    """Return what is served to people."""
    return [route for pages in PAGES for route in pages(frame).routes()]
