"""The list of places is whole: each page that people are served is in it, so that no check can overlook one."""

import re
from pathlib import Path

from starlette.routing import Route

from dashboard.app import create_app
from tests.dashboard.places import ASKED_WRONG, LOGIN, PROTECTED, REFUSED, everywhere
from tests.dashboard.world import SETTINGS, at

NO_PAGES = re.compile(r"/api\b|/live$|/manifest|\.csv$|/steps$|/worked$|/frames$|^/jars/mix$|/backups/")
"""What programs, scripts and downloads ask for; a part of a page is no page."""


def routes(folder: Path) -> list[Route]:
    app = create_app(SETTINGS, folder, at)
    return [one for one in app.router.routes if isinstance(one, Route) and not NO_PAGES.search(one.path)]


def test_every_page_is_among_the_places(tmp_path: Path) -> None:
    paths = {path.partition("?")[0] for state in everywhere().values() for path in state} | {"/login", *PROTECTED}
    pages = [one for one in routes(tmp_path) if one.methods and "GET" in one.methods]
    assert len(pages) > 40
    assert [one.path for one in pages if not any(one.path_regex.match(path) for path in paths)] == []


def test_every_form_with_a_page_of_its_own_is_refused_somewhere(tmp_path: Path) -> None:
    paths = {path for state in REFUSED.values() for path in state} | set(LOGIN)
    sent = {one.path: one for one in routes(tmp_path) if one.methods and "POST" in one.methods}
    shown = {one.path for one in routes(tmp_path) if one.methods and "GET" in one.methods}
    forms = [one for path, one in sent.items() if path in shown]
    unseen = [one.path for one in forms if not any(one.path_regex.match(path) for path in paths)]
    # Nothing can be typed wrong on these: they hold buttons only.
    assert unseen == ["/plants/own/{name:path}/drop", "/alerts", "/setup"]
    assert ASKED_WRONG
