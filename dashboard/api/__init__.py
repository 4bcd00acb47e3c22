"""The same for programs: JSON under `/api`, described at `/api/openapi.json`."""

from starlette.routing import BaseRoute

from dashboard.api.alerts import alert_routes
from dashboard.api.bottles import bottle_routes
from dashboard.api.feeding import feeding_routes
from dashboard.api.jar_pages import jar_page_routes
from dashboard.api.jars import jar_routes
from dashboard.api.labels import label_routes
from dashboard.api.plants import plant_routes
from dashboard.api.reckoning import reckoning_routes
from dashboard.api.replay import replay_routes
from dashboard.api.set_up import set_up_routes
from dashboard.api.shelf import shelf_routes
from dashboard.api.trials import trial_routes
from dashboard.desk import Desk

_AREAS = (
    shelf_routes,
    alert_routes,
    jar_routes,
    jar_page_routes,
    bottle_routes,
    feeding_routes,
    trial_routes,
    reckoning_routes,
    plant_routes,
    label_routes,
    replay_routes,
    set_up_routes,
)


def api_routes(desk: Desk) -> list[BaseRoute]:
    """Return the routes of the JSON interface over one desk."""
    return [route for area in _AREAS for route in area(desk).routes]
