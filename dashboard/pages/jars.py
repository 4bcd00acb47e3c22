"""Jars: the list, one jar, and what a person records of it."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from dashboard.frame import Frame
from dashboard.views.jars import jar_card, jar_view

MOST_JARS = 60
"""The list of jars shows this many, the latest first."""
JAR_BUCKETS = 160


class JarPages:
    """The jars."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._desk = frame.desk

    def routes(self) -> list[Route]:
        """Return what is served here."""
        return [Route("/jars", self.jars), Route("/jars/{name}", self.jar)]

    def jars(self, request: Request) -> Response:
        """Every jar, the latest first."""
        now_at, books = self._desk.now(), self._desk.books
        jars = books.jars()
        with books.shelf.together() as shelf:
            shown = [(jar, shelf.outlook(jar.id)) for jar in jars[:MOST_JARS]]
        cards = [jar_card(jar, outlook, now_at, self._desk.manner) for jar, outlook in shown]
        return self._frame.filled(request, "jars", cards=cards, count=len(jars))

    def jar(self, request: Request) -> Response:
        """One jar."""
        now_at, books = self._desk.now(), self._desk.books
        jar = books.jar(request.path_params["name"])
        until_at = max(jar.off_shelf_at or now_at, jar.packed_at)
        with books.shelf.together() as shelf:
            view = jar_view(
                jar,
                shelf.outlook(jar.id),
                shelf.series(jar.packed_at, until_at, JAR_BUCKETS),
                shelf.alerts(since_at=jar.packed_at, until_at=until_at),
                now_at,
                self._desk.manner,
            )
        return self._frame.filled(request, "jar", view=view)
