"""The pages: each asks a few questions of the books, lets a view answer, and fills a template."""

from starlette.routing import BaseRoute

from dashboard.frame import Frame
from dashboard.pages.alerts import AlertPages
from dashboard.pages.bottles import BottlePages
from dashboard.pages.cans import CanPages
from dashboard.pages.climate import ClimatePages
from dashboard.pages.feeding import FeedingPages
from dashboard.pages.jar_forms import JarForms
from dashboard.pages.jars import JarPages
from dashboard.pages.labels import LabelPages
from dashboard.pages.manifest import ManifestPage
from dashboard.pages.packing import PackPages
from dashboard.pages.plants import PlantPages
from dashboard.pages.replay import ReplayPages
from dashboard.pages.rounds import RoundPages
from dashboard.pages.settings import SettingsPages
from dashboard.pages.setup import SetUpPages
from dashboard.pages.shelf import ShelfPages
from dashboard.pages.survey import SurveyPages
from dashboard.pages.trials import TrialPages

PAGES = (
    ShelfPages,
    PackPages,
    JarForms,
    LabelPages,
    JarPages,
    BottlePages,
    CanPages,
    FeedingPages,
    RoundPages,
    TrialPages,
    PlantPages,
    ClimatePages,
    AlertPages,
    ReplayPages,
    SetUpPages,
    SettingsPages,
    SurveyPages,
    ManifestPage,
)


def page_routes(frame: Frame) -> list[BaseRoute]:
    """Return what is served to people."""
    return [route for pages in PAGES for route in pages(frame).routes()]
