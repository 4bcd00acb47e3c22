"""When an answer is read: its dates tell their year where that is not the present one."""

from collections.abc import Callable
from datetime import datetime

from starlette.types import ASGIApp, Receive, Scope, Send

from station.domain.moments import read_by


class ReadNow:
    """Let every date of an answer be written as it is read at the present (see `read_by`).

    Args:
        app: what lies behind.
        now: the clock.
    """

    def __init__(self, app: ASGIApp, now: Callable[[], datetime]) -> None:
        self._app = app
        self._now = now

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on."""
        with read_by(self._now):
            await self._app(scope, receive, send)
